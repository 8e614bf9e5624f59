#pragma once
// Deadlines and arranged contacts for a calendar program, by an address with a secret in it.

#include <memory>

#include "node/web/router.hpp"

namespace ladderline::node::web {

struct House;

void add_feed_page(Router& router, const std::shared_ptr<House>& house);

}  // namespace ladderline::node::web
