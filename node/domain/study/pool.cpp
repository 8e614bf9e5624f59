// The published plain-text layout of a question pool, as this file reads it.
//
//   anything                              errata sheets and a syllabus; passed over, but for the first line (edition)
//   FCC Element 3 Question Pool           title: "... Element N Question Pool" without the word Syllabus
//   Effective 7/01/2023 - 6/30/2027       optional; the second date is missing in some pools
//   SUBELEMENT G1 - RULES [5 Exam Questions - 5 Groups]
//   G1A - Title of a group                hyphen, dash or nothing between; may run over several lines
//   G1A01 (C) [97.301(d)]                 id, key, citation if there is one (free text, brackets may be misprinted)
//   Stem, may run over several lines
//   A. choice                             A to D, each may run over several lines
//   ~~                                    end of the question
//   G1A04 Question Deleted (...)          withdrawn question, also closed by ~~; numbers are not given anew
//   ~~~end of question pool text~~~       end mark, any number of ~ from three on; what follows is passed over
//
// A form feed (page break) may stand anywhere. The numbers printed in headings and in the syllabus are often stale,
// so questions and groups are counted here. Errata lines look like questions, hence the start at the title.

#include "node/domain/study/pool.hpp"

#include <algorithm>
#include <cstddef>
#include <tuple>
#include <utility>

#include "node/domain/study/pool_dates.hpp"
#include "node/domain/study/pool_lines.hpp"

namespace ladderline::domain {
namespace {

using pool_lines::Line;
using pool_lines::line_error;

constexpr int citation_lines_max = 3;

std::string letter(int choice) {
    return std::string(1, static_cast<char>('A' + choice));
}

// Reads the lines of the pool proper one by one. Every on_ function gets a line that is not empty.
class Reader {
public:
    explicit Reader(Pool pool) : pool_(std::move(pool)) {}

    Result<void> on_line(const Line& line) {
        last_line_ = line.number;
        switch (state_) {
            case State::front:
                return on_front(line);
            case State::subelement_title:
            case State::group_title:
            case State::between:
                return on_between(line);
            case State::citation:
                return on_citation(line);
            case State::question:
                return on_question(line);
            case State::withdrawn:
                return on_withdrawn(line);
            case State::done:
                break;
        }
        return ok();
    }

    bool done() const { return state_ == State::done; }

    Result<Pool> take() {
        if (!done()) return line_error(last_line_, "the text stops here, before the end mark of a pool");
        if (pool_.questions.empty()) return line_error(last_line_, "the pool ends without a question");
        for (std::size_t i = 0; i < pool_.groups.size(); ++i) {
            if (!pool_.groups[i].questions.empty()) continue;
            return line_error(group_lines_[i], "group " + pool_.groups[i].id + " has no question that can be drawn");
        }
        return std::move(pool_);
    }

private:
    enum class State { front, subelement_title, group_title, between, citation, question, withdrawn, done };

    Result<void> on_front(const Line& line) {
        if (pool_.effective.empty()) {
            if (auto effective = pool_lines::effective_part(line.text)) {
                pool_.effective = *effective;
                TRY(auto dates, pool_dates::read(*effective, line.number));
                pool_.valid_from = dates.first;
                pool_.valid_until = dates.last;
                return ok();
            }
        }
        if (const auto start = pool_lines::question_start(line.text)) {
            return line_error(line.number, "question " + start->id + " stands before any SUBELEMENT heading");
        }
        if (pool_lines::is_end_mark(line.text)) return on_end_mark();
        if (const auto start = pool_lines::subelement_start(line.text)) return on_subelement(line, *start);
        return ok();
    }

    Result<void> on_between(const Line& line) {
        if (pool_lines::is_end_mark(line.text)) return on_end_mark();
        if (const auto start = pool_lines::subelement_start(line.text)) return on_subelement(line, *start);
        if (const auto start = pool_lines::question_start(line.text)) return on_question_start(line, *start);
        if (pool_lines::is_question_end(line.text)) {
            return line_error(line.number, "a question ends here, but none was begun");
        }
        if (const auto start = pool_lines::group_start(line.text)) return on_group(line, *start);
        if (state_ == State::subelement_title) {
            pool_lines::append_wrapped(pool_.subelements.back().title, line.text);
            return ok();
        }
        if (state_ == State::group_title) {
            pool_lines::append_wrapped(pool_.groups.back().title, line.text);
            return ok();
        }
        if (pool_lines::is_page_number(line.text)) return ok();
        return line_error(line.number, "a question id, a heading or the end mark was due");
    }

    Result<void> on_end_mark() {
        finish_subelement_title();
        state_ = State::done;
        return ok();
    }

    Result<void> on_subelement(const Line& line, const pool_lines::SubelementStart& start) {
        finish_subelement_title();
        const auto& all = pool_.subelements;
        if (std::any_of(all.begin(), all.end(), [&](const PoolSubelement& one) { return one.id == start.id; })) {
            return line_error(line.number, "sub-element " + start.id + " is begun a second time");
        }
        if (!all.empty() && all.front().id[0] != start.id[0]) {
            return line_error(line.number, "sub-element " + start.id + " does not belong to a pool of letter " +
                                               all.front().id.substr(0, 1));
        }
        pool_.subelements.push_back({start.id, start.rest});
        state_ = State::subelement_title;
        return ok();
    }

    // The heading is complete: takes the bracketed numbers off the title.
    void finish_subelement_title() {
        if (pool_.subelements.empty()) return;
        PoolSubelement& heading = pool_.subelements.back();
        const std::size_t bracket = heading.title.find('[');
        if (bracket == std::string::npos) return;
        heading.title.resize(bracket);
        while (!heading.title.empty() && heading.title.back() == ' ') heading.title.pop_back();
    }

    Result<void> on_group(const Line& line, const pool_lines::GroupStart& start) {
        finish_subelement_title();
        if (start.id.substr(0, 2) != pool_.subelements.back().id) {
            return line_error(line.number,
                              "group " + start.id + " stands under sub-element " + pool_.subelements.back().id);
        }
        const auto& all = pool_.groups;
        if (std::any_of(all.begin(), all.end(), [&](const PoolGroup& one) { return one.id == start.id; })) {
            return line_error(line.number, "group " + start.id + " is begun a second time");
        }
        if (start.title.empty()) return line_error(line.number, "group " + start.id + " has no title");
        pool_.groups.push_back({start.id, start.title, {}});
        group_lines_.push_back(line.number);
        state_ = State::group_title;
        return ok();
    }

    Result<void> on_question_start(const Line& line, const pool_lines::QuestionStart& start) {
        if (pool_.groups.empty() || pool_.groups.back().id != start.id.substr(0, 3)) {
            return line_error(line.number,
                              "question " + start.id + " does not stand in its group " + start.id.substr(0, 3));
        }
        if (pool_.find(start.id) || pool_.is_withdrawn(start.id)) {
            return line_error(line.number, "question " + start.id + " is there a second time");
        }
        if (!start.has_key() && start.is_stub()) {
            pool_.withdrawn.push_back(start.id);
            state_ = State::withdrawn;
            return ok();
        }
        const std::string& rest = start.rest;
        if (rest.size() < 3 || rest[0] != '(' || rest[1] < 'A' || rest[1] > 'D' || rest[2] != ')') {
            return line_error(line.number, "question " + start.id + " does not say (A), (B), (C) or (D) after its id");
        }
        question_ = PoolQuestion{};
        question_.id = start.id;
        question_.group = static_cast<int>(pool_.groups.size()) - 1;
        question_.key = rest[1] - 'A';
        citation_ = rest.substr(std::min(rest.size(), rest.find_first_not_of(' ', 3)));
        citation_lines_ = 1;
        choices_begun_ = 0;
        state_ = State::question;
        if (citation_.starts_with('[') && !citation_.ends_with(']')) state_ = State::citation;
        if (state_ == State::question) finish_citation();
        return ok();
    }

    // A citation that did not close on the line of its id.
    Result<void> on_citation(const Line& line) {
        citation_lines_ += 1;
        const bool lost = pool_lines::choice_start(line.text) || pool_lines::is_question_end(line.text);
        if (lost || citation_lines_ > citation_lines_max) {
            return line_error(line.number, "the citation of question " + question_.id + " lacks its closing bracket");
        }
        pool_lines::append_wrapped(citation_, line.text);
        if (citation_.ends_with(']')) {
            finish_citation();
            state_ = State::question;
        }
        return ok();
    }

    void finish_citation() {
        if (citation_.starts_with('[') && citation_.ends_with(']')) {
            citation_ = citation_.substr(1, citation_.size() - 2);
        }
        question_.citation = std::move(citation_);
        citation_.clear();
    }

    Result<void> on_question(const Line& line) {
        if (pool_lines::is_end_mark(line.text)) return unclosed(line);
        if (pool_lines::is_question_end(line.text)) return on_question_end(line);
        if (const auto start = pool_lines::question_start(line.text); start && (start->has_key() || start->is_stub())) {
            return unclosed(line);
        }
        if (pool_lines::subelement_start(line.text)) return unclosed(line);
        if (const auto choice = pool_lines::choice_start(line.text)) {
            if (*choice == choices_begun_) {
                std::string_view text = std::string_view(line.text).substr(2);
                if (text.starts_with(' ')) text.remove_prefix(1);
                question_.choices[static_cast<std::size_t>(*choice)] = text;
                choices_begun_ += 1;
                return ok();
            }
            if (line.text.size() == 2 || line.text[2] == ' ') return misplaced_choice(line, *choice);
        }
        std::string& text =
            choices_begun_ == 0 ? question_.stem : question_.choices[static_cast<std::size_t>(choices_begun_ - 1)];
        pool_lines::append_wrapped(text, line.text);
        return ok();
    }

    Error unclosed(const Line& line) const {
        return line_error(line.number, "question " + question_.id + " is not closed by ~~ before this line");
    }

    Error misplaced_choice(const Line& line, int choice) const {
        const std::string due = choices_begun_ < pool_choices ? "choice " + letter(choices_begun_) : "~~";
        return line_error(line.number,
                          "question " + question_.id + " has choice " + letter(choice) + " where " + due + " was due");
    }

    Result<void> on_question_end(const Line& line) {
        if (question_.stem.empty()) return line_error(line.number, "question " + question_.id + " has no text");
        if (choices_begun_ < pool_choices) {
            return line_error(line.number, "question " + question_.id + " has no choice " + letter(choices_begun_));
        }
        for (int choice = 0; choice < pool_choices; ++choice) {
            if (!question_.choices[static_cast<std::size_t>(choice)].empty()) continue;
            return line_error(line.number, "choice " + letter(choice) + " of question " + question_.id + " is empty");
        }
        question_.figure = pool_lines::figure_named(question_.stem);
        pool_.groups.back().questions.push_back(static_cast<int>(pool_.questions.size()));
        pool_.questions.push_back(std::move(question_));
        state_ = State::between;
        return ok();
    }

    Result<void> on_withdrawn(const Line& line) {
        if (pool_lines::is_question_end(line.text)) {
            state_ = State::between;
            return ok();
        }
        const bool other = pool_lines::is_end_mark(line.text) || pool_lines::question_start(line.text) ||
                           pool_lines::subelement_start(line.text) || pool_lines::choice_start(line.text);
        if (!other) return ok();
        return line_error(line.number, "withdrawn question " + pool_.withdrawn.back() + " is not closed by ~~");
    }

    Pool pool_;
    State state_ = State::front;
    PoolQuestion question_;  // being read
    std::string citation_;
    int citation_lines_ = 0;
    int choices_begun_ = 0;
    std::vector<int> group_lines_;
    int last_line_ = 0;
};

}  // namespace

std::optional<int> Pool::find(std::string_view id) const {
    const auto at = std::find_if(questions.begin(), questions.end(), [&](const PoolQuestion& q) { return q.id == id; });
    if (at == questions.end()) return std::nullopt;
    return static_cast<int>(at - questions.begin());
}

bool Pool::is_withdrawn(std::string_view id) const {
    return std::find(withdrawn.begin(), withdrawn.end(), id) != withdrawn.end();
}

bool Pool::in_force(Day day) const {
    return (!valid_from || *valid_from <= day) && (!valid_until || day <= *valid_until);
}

Result<Pool> read_pool(std::string_view text) {
    if (text.size() > pool_text_bytes_max) return line_error(1, "the text is far larger than any question pool");
    TRY(const auto lines, pool_lines::split(text));
    const auto title = pool_lines::find_title(lines);
    if (!title) {
        return line_error(lines.empty() ? 1 : lines.back().number,
                          "the text stops here without a title \"Element N Question Pool\"");
    }
    Pool pool;
    pool.element = title->element;
    pool.title = lines[title->index].text;
    for (std::size_t i = 0; i <= title->index; ++i) {
        if (pool.edition.empty()) pool.edition = lines[i].text;
        if (!pool.first_year) std::tie(pool.first_year, pool.last_year) = pool_dates::year_span(lines[i].text);
    }

    Reader reader(std::move(pool));
    for (std::size_t i = title->index + 1; i < lines.size() && !reader.done(); ++i) {
        if (lines[i].text.empty()) continue;
        TRY(reader.on_line(lines[i]));
    }
    return reader.take();
}

}  // namespace ladderline::domain
