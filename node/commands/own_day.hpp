#pragma once
// Which day it is for the owner of this store: what they tick without naming a day was done on it, and the clocks of
// their licence run by it.

#include "node/commands/context.hpp"

namespace ladderline::node {

// By the zone on the own card; by UTC without one. Never a day that UTC has not reached, which other nodes would take
// for one to come.
Day own_day(Context& context);
// The day of a tick without one: the own day; of what is sent under the own call sign that of UTC, by which it stands
// in logs and beside which its gate holds other days.
Day tick_day(Context& context, const domain::Item& item);

}  // namespace ladderline::node
