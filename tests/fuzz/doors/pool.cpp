// A question pool from a file: a whole pool or nothing, and the line at fault named. The seeds are made up.

#include "node/domain/study/pool.hpp"

#include <algorithm>

#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace domain;

void knock(ByteView input) {
    const Result<Pool> read = read_pool(as_text(input));
    if (!read) {
        demand(read.error().fault() == Fault::bad_input, "a file that is no pool is bad input");
        return demand_sentence(read.error().sentence());
    }
    const Pool& pool = read.value();
    demand(!pool.questions.empty(), "a pool has a question");
    for (const PoolGroup& group : pool.groups) {
        demand(!group.questions.empty() && !group.title.empty(), "a group has a title and a question");
        const bool is_in_one = std::any_of(pool.subelements.begin(), pool.subelements.end(),
                                           [&](const PoolSubelement& one) { return group.id.starts_with(one.id); });
        demand(is_in_one, "a group has a sub-element");
    }
    for (std::size_t i = 0; i < pool.questions.size(); ++i) {
        const PoolQuestion& question = pool.questions[i];
        demand(pool.find(question.id) == static_cast<int>(i), "a question is found by its id");
        demand(question.key >= 0 && question.key < pool_choices, "the right choice is one of four");
        demand(!question.stem.empty() && is_utf8(question.stem), "a question has a text");
        demand(static_cast<std::size_t>(question.group) < pool.groups.size(), "a question has a group");
    }
}

constexpr std::string_view question =
    "Z1A01 (C) [97.1]\n"
    "How many rungs has a ladder in figure Z1-1?\n"
    "A. None\nB. One, and another on the\nother side\nC. As many as it needs\nD. Seventy-three\n~~\n\n";

std::string pool_text(std::string_view questions) {
    return "2026-2030 Made-up Pool, no errata\n\nAbout Element 9 Question Pool\n\nMade-up Element 9 Question Pool\n"
           "Effective 7/01/2026 \xE2\x80\x93 6/30/2030\n\n"
           "SUBELEMENT Z1 \xE2\x80\x93 LADDERS [1 Exam Question - 1 Group]\nZ1A - Rungs and\nrails\n\n" +
           std::string(questions) + "~~~end of question pool text~~~\n";
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    const auto seed = [&](const std::string& name, const std::string& text) {
        out.seeds.push_back({name, to_bytes(as_bytes(text))});
    };
    seed("one_question", pool_text(question));
    seed("withdrawn", pool_text(std::string(question) + "Z1A02 Question Deleted (made up)\n~~\n"));
    std::string windows;
    for (const char c : pool_text(question)) windows += c == '\n' ? std::string("\r\n") : std::string(1, c);
    seed("windows_lines", "\xEF\xBB\xBF" + windows);
    seed("page_breaks", pool_text(std::string(question) + "\f12\n"));
    out.words = {"~~\n",
                 "~~~end of question pool text~~~\n",
                 "SUBELEMENT Z2\n",
                 "Z1B - More\n",
                 "Z1A03 (A)\n",
                 "A. x\n",
                 "B. x\n",
                 "C. x\n",
                 "D. x\n",
                 "[",
                 "]",
                 "\f",
                 "\r",
                 "\xC2\xA0",
                 "Element 3 Question Pool\n",
                 "Effective ",
                 "99999999 Groups",
                 "figure Q1-99999999999"};
    out.runs = 8000;
    return out;
}

}  // namespace ladderline::fuzz
