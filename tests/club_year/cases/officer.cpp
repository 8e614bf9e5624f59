#include "tests/club_year/cases/officer.hpp"

#include <algorithm>

namespace ladderline::club_year {
namespace {

// "A (at most 210 km), B (between 50 and 450 km)" without the distances.
std::string with_helpers(const node::ReviewedPerson& person) {
    std::string out = person.name + ":";
    std::string rest = person.detail;
    while (rest.find(" (") != std::string::npos) {
        out += " " + rest.substr(0, rest.find(" ("));
        const std::size_t end = rest.find("), ");
        rest = end == std::string::npos ? "" : rest.substr(end + 3);
    }
    return out;
}

}  // namespace

std::vector<Told> told_in(const Story& story, std::uint64_t seed, std::span<const int> days) {
    test::SetClock clock;
    test::MemberNode olive(clock, seed);
    Play play(story, clock, olive.context);
    std::vector<Told> out;
    for (const int after : days) {
        play.until(story.first + after);
        std::map<int, node::ReviewAnswer> answers;
        for (const node::ReviewQuestion& q : node::review_questions()) {
            answers[q.number] = must(node::question(olive.context, q.number));
        }
        out.push_back({Record(story, story.first + after), std::move(answers), must(node::review(olive.context)),
                       must(node::list_hits(olive.context)), must(node::annual_report(olive.context)),
                       must(node::open_matters(olive.context))});
    }
    return out;
}

const Story& the_story() {
    static const Story story = story_of(usual_seed, must(parse_day("2026-11-26")));
    return story;
}

const std::vector<Told>& the_year() {
    static const std::vector<Told> year = told_in(the_story(), usual_seed, stops);
    return year;
}

std::vector<std::string> named_in(const node::ReviewAnswer& answer) {
    std::vector<std::string> out;
    for (const node::ReviewedPerson& person : answer.who) {
        out.push_back(answer.question.number == 24 ? with_helpers(person) : person.name);
    }
    if (answer.question.number != 10) std::sort(out.begin(), out.end());
    return out;
}

}  // namespace ladderline::club_year
