#pragma once
// Files under static/, compiled into the program, at /static/<name>.

#include "node/web/request.hpp"

namespace ladderline::node::web {

// Style sheets, scripts and drawings by name, with a strong entity tag (304 when the browser has it); otherwise 404.
Response static_file(const Request& request);

}  // namespace ladderline::node::web
