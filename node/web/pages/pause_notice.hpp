#pragma once
// The word above everything else on the pages of a path on which nothing goes on with a mentor.

#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// With a link for whoever can change it; empty while nothing is in the way.
Html pause_notice(const Scene& scene, const WayView& way);

}  // namespace ladderline::node::web
