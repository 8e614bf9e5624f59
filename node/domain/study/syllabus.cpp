#include "node/domain/study/syllabus.hpp"

#include <algorithm>
#include <charconv>

namespace ladderline::domain {
namespace {

// Nothing for an element that is no number: question pools are published by number.
std::optional<int> number_of(std::string_view element) {
    int out = 0;
    const auto end = std::from_chars(element.data(), element.data() + element.size(), out);
    if (end.ec != std::errc() || end.ptr != element.data() + element.size()) return std::nullopt;
    return out;
}

}  // namespace

std::optional<Syllabus> syllabus_in(const RuleBook& book, int element) {
    if (element == practice_syllabus.element) return practice_syllabus;
    const Exam* exam = book.find_exam(std::to_string(element));
    if (exam == nullptr) return std::nullopt;
    return Syllabus{element, exam->questions, exam->questions, exam->least_right};
}

std::vector<int> elements_in(const RuleBook& book) {
    std::vector<int> out{practice_syllabus.element};
    for (const Exam& exam : book.exams) {
        if (const auto element = number_of(exam.element)) out.push_back(*element);
    }
    std::sort(out.begin(), out.end());
    return out;
}

}  // namespace ladderline::domain
