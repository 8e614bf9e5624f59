#pragma once
// Who is on the air at an arranged contact, in the words of everything that tells of it.

#include "node/commands/meetings.hpp"

namespace ladderline::node {

// The end that is not the path's owner.
protocol::MemberId helper_id_of(const WayView& way, const MeetingView& meeting);
// The same person; null if they have left.
const PersonView* helper_of(const WayView& way, const MeetingView& meeting);
// Whoever looks is one of the two, and does not merely see the path.
bool is_end_of(const Context& context, const WayView& way, const MeetingView& meeting);
// "Ana with Ben", the path's owner first.
std::string both_ends(const WayView& way, const MeetingView& meeting);
// For whoever looks: "with Ben" for Ana; both names for who is neither, so that guardian and second adult read whom a
// child talks with.
std::string ends_words(const Context& context, const WayView& way, const MeetingView& meeting);

}  // namespace ladderline::node
