#pragma once
// When the owner of a path was last heard there themselves, whatever their helpers wrote meanwhile.

#include "node/commands/way.hpp"

namespace ladderline::node {

// The newest of their own ticks and other words about items, contacts, words on what became of an arranged contact,
// asks and dates of the exam. That they arranged one counts by its outcome: when it was arranged is not kept apart.
Result<std::optional<WallTime>> heard_from_owner(Context& context, const WayView& way);

}  // namespace ladderline::node
