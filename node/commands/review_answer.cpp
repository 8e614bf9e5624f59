// One question of the review: who answers it, and what is said beside the answer.

#include <algorithm>

#include "node/commands/review_questions.hpp"
#include "node/domain/review/small_counts.hpp"

namespace ladderline::node {
namespace {

constexpr int questions_in_all = 36;
constexpr int adults_of_minors = 19;
constexpr std::string_view nobody_known = "Nobody, as far as is known.";

std::string people_words(std::size_t n) {
    return std::to_string(n) + (n == 1 ? " newcomer" : " newcomers");
}

ReviewAnswer answer_of_rows(const ReviewQuestion& question, const ClubPeople& people, std::string_view cannot_know) {
    ReviewAnswer out;
    out.question = question;
    out.as_of = oldest_news(people);
    out.unknown = unknown_newcomers(people);
    out.looked_at = "Looked at: " + people_words(people.newcomers.size() - static_cast<std::size_t>(out.unknown)) +
                    " whose row the club may read.";
    out.cannot_know = cannot_know;
    out.none = nobody_known;
    return out;
}

// "Nobody" is said of those who were looked at; of none of them it would read as good news.
std::string none_of_rows(const RowQuestion& question, const ClubPeople& people, int unknown) {
    if (question.number == adults_of_minors) return "Nobody in the club is under 18, as far as is known.";
    const bool none_seen = !people.newcomers.empty() && static_cast<std::size_t>(unknown) == people.newcomers.size();
    if (!question.of_rows || !none_seen) return std::string(nobody_known);
    return "Not known here: no newcomer's row may be read. Ask the mentors.";
}

// The adults are looked for on the paths themselves: of a path that this node does not see nothing is known, whatever
// the club's list says of its newcomer.
Result<void> count_paths_of_minors(Context& context, const ClubPeople& people, ReviewAnswer& out) {
    TRY(const auto held, circles(context.db));
    std::size_t seen = 0;
    out.unknown = 0;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.is_minor) continue;
        const bool is_seen = std::any_of(held.begin(), held.end(), [&](const CircleView& circle) {
            return circle.kind == protocol::CircleKind::path && circle.founder == newcomer.person.id;
        });
        seen += is_seen ? 1 : 0;
        out.unknown += is_seen ? 0 : 1;
    }
    out.looked_at = "Looked at: " + people_words(seen) + " under 18 whose path this node sees.";
    return ok();
}

Result<ReviewAnswer> answer_of_paths(Context& context, const ReviewQuestion& about, const PathQuestion& question) {
    TRY(const auto ways, ways_of_others(context));
    ReviewAnswer out;
    out.question = about;
    out.who = question.answer(context, ways);
    if (question.counts != nullptr) out.counts = question.counts(ways);
    out.none = question.none.empty() ? nobody_known : question.none;
    if (ways.empty()) out.none = "Not known here: this node shares nobody's path. Ask the mentors.";
    for (const WayView& way : ways) {
        if (way.as_of) out.as_of = std::min(out.as_of.value_or(*way.as_of), *way.as_of);
    }
    out.looked_at = "Looked at: " + people_words(ways.size()) + " whose path this node shares.";
    if (const auto people = club_people(context)) {
        for (const ClubNewcomer& newcomer : people.value().newcomers) {
            const bool seen = std::any_of(ways.begin(), ways.end(),
                                          [&](const WayView& way) { return way.owner.id == newcomer.person.id; });
            out.unknown += seen ? 0 : 1;
        }
        if (out.unknown > 0) out.looked_at += " The mentors of the others can ask the same question.";
    }
    out.cannot_know = question.cannot_know;
    return out;
}

}  // namespace

std::vector<ReviewQuestion> review_questions() {
    std::vector<ReviewQuestion> out;
    for (const RowQuestion& q : row_questions()) out.push_back({q.number, q.title, AnsweredFrom::rows});
    for (const PathQuestion& q : path_questions()) out.push_back({q.number, q.title, AnsweredFrom::paths});
    for (const CountQuestion& q : count_questions()) out.push_back({q.number, q.title, AnsweredFrom::counts});
    std::sort(out.begin(), out.end(),
              [](const ReviewQuestion& a, const ReviewQuestion& b) { return a.number < b.number; });
    ENSURE(out.size() == questions_in_all);
    return out;
}

Result<ReviewAnswer> question(Context& context, int number) {
    if (number < 1 || number > questions_in_all) {
        return Error{Fault::bad_input, "The questions have the numbers 1 to 36."};
    }
    const ReviewQuestion about = review_questions()[static_cast<std::size_t>(number - 1)];
    for (const PathQuestion& path : path_questions()) {
        if (path.number == number) return answer_of_paths(context, about, path);
    }
    TRY(const ClubPeople people, club_people(context));
    for (const RowQuestion& row : row_questions()) {
        if (row.number != number) continue;
        ReviewAnswer out = answer_of_rows(about, people, row.cannot_know);
        TRY(out.who, row.answer(context, people));
        out.none = none_of_rows(row, people, out.unknown);
        if (number == adults_of_minors) {
            TRY(count_paths_of_minors(context, people, out));
        }
        return out;
    }
    for (const CountQuestion& count : count_questions()) {
        if (count.number != number) continue;
        ReviewAnswer out = answer_of_rows(about, people, count.cannot_know);
        out.looked_at += " Those who left, and whose consent still stands, are counted too: " +
                         domain::fewer_than_five(static_cast<int>(people.former.size())) + ".";
        out.counts = count.answer(people, context.today());
        return out;
    }
    ENSURE(false);
    return Error{Fault::bad_input, ""};
}

}  // namespace ladderline::node
