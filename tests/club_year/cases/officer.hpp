#pragma once
// The officer of the invented club on eight days of a year: what the program told them, beside the record of what had
// happened by then. The year is played once for all tests.

#include <doctest/doctest.h>

#include "node/commands/club_numbers.hpp"
#include "node/commands/handover.hpp"
#include "node/commands/list_hits.hpp"
#include "node/commands/review.hpp"
#include "tests/club_year/play.hpp"
#include "tests/club_year/record.hpp"

namespace ladderline::club_year {

using test::must;

inline constexpr int stops[] = {60, 100, 145, 190, 235, 280, 325, 364};  // days after the first

inline std::string joined(const std::vector<std::string>& lines) {
    std::string out;
    for (const std::string& line : lines) out += line + "\n";
    return out;
}

struct Told {
    Record record;
    std::map<int, node::ReviewAnswer> answers;
    node::Review review;
    node::ListHits hits;
    node::AnnualReport report;
    node::OpenMatters open;
};

// Plays up to each of `days` and asks everything there is to ask.
std::vector<Told> told_in(const Story& story, std::uint64_t seed, std::span<const int> days);
const Story& the_story();
const std::vector<Told>& the_year();

// As the questions' answers name people, in the order of Record::who.
std::vector<std::string> named_in(const node::ReviewAnswer& answer);

}  // namespace ladderline::club_year
