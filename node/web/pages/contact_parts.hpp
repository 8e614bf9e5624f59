#pragma once
// A contact as a form has it: for the newcomer's own list, and for the side of somebody who helps.

#include "node/commands/contacts.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// Usual modes, and `present` where it is none of them.
std::vector<Choice> contact_modes(const std::string& present);

// The helper's own side of a contact with the path's owner; empty while the owner has no call sign.
Html own_side_form(const Scene& scene, const WayView& way);
// Writes down what was typed there; `who` is the newcomer's key.
Result<Done> own_side_as_sent(const Scene& scene, const std::string& who);

}  // namespace ladderline::node::web
