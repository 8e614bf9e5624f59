#pragma once
// A station seen from the side, to scale: the antenna, both least distances, a person, and a measure.

#include "node/commands/stations.hpp"
#include "node/web/html.hpp"

namespace ladderline::node::web {

// `height_m`: lowest part of the antenna above the ground; without it the antenna is drawn at a person's height, and
// the words below say so.
Html exposure_drawing(const Worksheet& sheet, const std::optional<double>& height_m);

}  // namespace ladderline::node::web
