#pragma once
// A slip with "asked, is fine" or "in touch" is taken back: a later word of the same member and kind supersedes it.

#include "node/commands/context.hpp"

namespace ladderline::node {

// What such a word bears in the place of a day (WIRE.md, kinds 55 and 68).
inline constexpr Day day_of_taking_back{};

// Both: as if it had not been said. not_found: it is no such word of the owner's.
Result<Done> take_check_back(Context& context, const protocol::EventId& check);
Result<Done> take_touch_back(Context& context, std::string_view who, const protocol::EventId& touch);

}  // namespace ladderline::node
