#pragma once
// Which rules and which ladder this node works by, and for which days they were right.

#include "node/commands/way.hpp"
#include "node/domain/rules/rule_book.hpp"

namespace ladderline::node {

struct RuleBookDates {
    std::string country;  // "us"
    std::string name;     // "the United States"
    std::size_t lines = 0;
    std::size_t uncertain = 0;  // lines that were not checked against the rule in force
    Day oldest;                 // the days for which its lines were right, from .. to
    Day newest;
};
// Of every country whose rules came with the program.
Result<std::vector<RuleBookDates>> rule_book_dates();

// What was asked for on one way (kind "assign") and is not done.
struct AskedFor {
    protocol::MemberId whose;
    std::string name;
    bool own = false;
    std::vector<domain::ItemId> items;  // ascending
    std::optional<Day> latest;          // when something was asked for last
};
// The own way and those that are shared with this node, by name; ways on which nothing is asked for are left out.
Result<std::vector<AskedFor>> asked_for(Context& context);

}  // namespace ladderline::node
