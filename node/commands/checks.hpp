#pragma once
// "Asked, is fine": officers and mentors of a club note the day on which they asked a newcomer. Of what was said
// nothing is kept. Whoever was asked lately is not on the list of those who need somebody.

#include <optional>
#include <string_view>
#include <vector>

#include "node/commands/context.hpp"

namespace ladderline::node {

struct CheckView {
    protocol::MemberId newcomer;
    protocol::MemberId by;
    Day day;        // on which they were asked
    WallTime said;  // when that was written down
};
// By officers and mentors of that club alone, oldest day first, on one day in the order in which they were said.
Result<std::vector<CheckView>> checks(Context& context, const protocol::CircleId& club);

// The latest day on which they were asked, if that keeps them off the list on `day`: less than 14 days before, and
// nothing asked for since. `row`: theirs of that day, said at `row_said`.
std::optional<Day> asked_lately(const std::vector<CheckView>& all, const protocol::MemberId& newcomer,
                                const protocol::ClubRowBody& row, WallTime row_said, Day day);

// `day` empty: today. refused: the owner is neither an officer nor a mentor of their club, or means somebody who is no
// newcomer of it. bad_input: a day to come.
Result<Done> note_checked(Context& context, std::string_view newcomer, std::optional<Day> day);

}  // namespace ladderline::node
