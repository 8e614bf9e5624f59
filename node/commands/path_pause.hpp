#pragma once
// What is said on a path of somebody under 18 while nothing goes on there with a mentor: the guardian's consent is
// over, or one of the two adults is missing.

#include "node/commands/way.hpp"

namespace ladderline::node {

// The guardian agreed once, and that is over: why, and what it means. Empty while it stands, before anybody agreed, and
// for adults.
std::string consent_over(const WayView& way, Day today);

// What holds now, for the guardian: until when it stands, that it is over, or that nobody agreed yet.
std::string consent_now(const WayView& way, Day today);

// That the consent is over, or which adult is missing where a mentor was let in or both adults had said their word; and
// what becomes of arranged contacts. Empty while nothing is in the way, and on a path that has only begun.
std::string pause_words(const WayView& way, Day today);

// The contact is one of those that do not take place: it is still to be had, and not with a guardian.
bool is_called_off(const WayView& way, const MeetingView& meeting, Day today);
// What is said of it beside such a contact; why, pause_words() says.
inline constexpr std::string_view called_off_words = "does not take place for now";

}  // namespace ladderline::node
