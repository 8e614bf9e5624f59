#pragma once
// The officer of the invented club, stopped on a day of the year, beside the record of what happened by then.

#include <doctest/doctest.h>

#include "node/commands/review.hpp"
#include "tests/club_year/play.hpp"
#include "tests/club_year/record.hpp"

namespace ladderline::club_year {

using test::must;

inline const Day last_day = must(parse_day("2026-11-26"));

struct Officer {
    explicit Officer(std::uint64_t seed, Day last = last_day)
        : story(story_of(seed, last)), olive(clock, seed), play(story, clock, olive.context) {}

    // As the questions' answers name people, in the order of Record::who.
    std::vector<std::string> who(int number) {
        std::vector<std::string> out;
        for (const node::ReviewedPerson& person : must(node::question(olive.context, number)).who) {
            out.push_back(number == 24 ? with_helpers(person) : person.name);
        }
        if (number != 10) std::sort(out.begin(), out.end());
        return out;
    }

    const Story story;
    test::SetClock clock;
    test::MemberNode olive;
    Play play;

private:
    // "A (about 10 km), B (about 250 km)" without the distances.
    static std::string with_helpers(const node::ReviewedPerson& person) {
        std::string out = person.name + ":";
        std::string rest = person.detail;
        while (rest.find(" (about ") != std::string::npos) {
            out += " " + rest.substr(0, rest.find(" (about "));
            const std::size_t end = rest.find("), ");
            rest = end == std::string::npos ? "" : rest.substr(end + 3);
        }
        return out;
    }
};

}  // namespace ladderline::club_year
