#pragma once
// The sheet of a way, typed back in.

#include <memory>

#include "node/web/router.hpp"

namespace ladderline::node::web {

struct House;

void add_way_sheet_pages(Router& router, const std::shared_ptr<House>& house);

}  // namespace ladderline::node::web
