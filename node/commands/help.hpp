#pragma once
// Needing a hand, and having been in touch.

#include "node/commands/way.hpp"

namespace ladderline::node {

// The newcomer needs a hand with `topic`; an empty topic says that it is settled. `since`: asked on paper or by voice
// on an earlier day; empty: today.
Result<Done> ask_for_help(Context& context, std::string_view topic, std::optional<Day> since);

// A mentor was in touch with the newcomer on that day; empty: today. Only the day is kept.
Result<Done> was_in_touch(Context& context, std::string_view who, std::optional<Day> day);

}  // namespace ladderline::node
