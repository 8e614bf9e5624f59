#pragma once
// Which pool a page speaks of, as it stands in its address.

#include "node/commands/study.hpp"
#include "node/web/html.hpp"
#include "node/web/request.hpp"

namespace ladderline::node::web {

// A pool in an address or a form, as its field "pool": "3", or "3-2027" with the first year of its edition.
std::string pool_word(const PoolChoice& pool);
// The pool that a form or a query names; none: the one used last.
PoolChoice pool_asked(const Fields& fields);
// A picture that is here.
Html figure_picture(const PoolChoice& pool, std::string_view name);

}  // namespace ladderline::node::web
