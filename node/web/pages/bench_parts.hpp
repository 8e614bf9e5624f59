#pragma once
// What somebody who helps can do for one newcomer: sign, tick what is theirs to tick, take a signature back, assign.

#include "node/commands/items.hpp"
#include "node/domain/ladder/rights.hpp"
#include "node/web/pages/meet_parts.hpp"

namespace ladderline::node::web {

// The viewer on this path; null if they have no seat on it.
const PersonView* viewer_in(const Scene& scene, const WayView& way);
// Sign forms for ticked items, and tick forms for items, that wait for the viewer; empty if none do.
Html waiting_on_me(const Scene& scene, const WayView& way);
// One form for all items that wait for the viewer's signature; empty for fewer than two, unless it
// came back.
Html sign_many_form(const Scene& scene, const WayView& way);
// How many items wait for the viewer's signature.
std::size_t signatures_awaited(const Scene& scene, const WayView& way);
// Own signatures that stand, each with the form that takes it back; empty if there are none.
Html my_signatures(const Scene& scene, const WayView& way);
// Empty if the viewer is no mentor here.
Html assign_form(const Scene& scene, const WayView& way);

}  // namespace ladderline::node::web
