#pragma once
// A form that was opened before the program was last started or locked: what was sent stands on a page, and goes on
// with one more press.

#include "node/web/request.hpp"

namespace ladderline::node::web {

// `request` bears the secret for the new form. Nothing of it was done. Files do not come along, so of a form with one
// only the way is said.
Response send_again_page(const Request& request);

}  // namespace ladderline::node::web
