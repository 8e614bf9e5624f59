#pragma once

#include <memory>

#include "node/web/router.hpp"

namespace ladderline::node::web {

struct House;

void add_feed_page(Router& router, const std::shared_ptr<House>& house);

}  // namespace ladderline::node::web
