#pragma once
// The helper's own side of contacts with a path's owner: what was written down, and the form for one more.

#include "node/commands/contacts.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// Empty while the owner has no call sign.
Html own_side_form(const Scene& scene, const WayView& way);
// The viewer's own sides, newest first, those that were struck out last; each with what the owner's log says of it and
// a link to change it. Empty if there are none.
Html own_sides(const Scene& scene, const WayView& way);
// What was typed in the form; `who` is the newcomer's key.
Result<ContactRequest> own_side_typed(const Scene& scene, const std::string& who);

}  // namespace ladderline::node::web
