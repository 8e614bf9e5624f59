#pragma once
// The twelve fields that a newcomer lets a club hold. They are worked out on the newcomer's own node and published
// there; nobody else can write them.

#include "node/commands/way.hpp"

namespace ladderline::node {

// Consent, for a date: from now on this node keeps the club's row up to date. The last day may be at most two years
// off.
Result<Done> share_with_club(Context& context, Day until);
// No more news to the club; what it holds already is named honestly in the answer.
Result<Done> stop_sharing(Context& context);
// Publishes the row if consent stands and something in it changed. Called after every own step.
Result<void> refresh_club_row(Context& context);

// Events of the circle arrived from elsewhere and are stored: tells about it, and shows the club what has changed on
// the own path, since a mentor's touch or sign-off may be among them.
Result<void> tell_arrival(Context& context, const protocol::CircleId& circle);

}  // namespace ladderline::node
