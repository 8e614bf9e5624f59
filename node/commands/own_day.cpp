#include "node/commands/own_day.hpp"

#include <algorithm>

#include "node/commands/circles.hpp"
#include "node/domain/meeting/local_time.hpp"

namespace ladderline::node {

Day own_day(Context& context) {
    const Day by_utc = context.today();
    const auto card = own_card(context);
    if (!card || card.value().zone.empty()) return by_utc;
    const auto zone = domain::Zone::find(card.value().zone);
    if (!zone) return by_utc;
    return std::min(by_utc, zone.value().clock_at(context.now()).day);
}

Day tick_day(Context& context, const domain::Item& item) {
    return item.gate == domain::ItemGate::grant ? context.today() : own_day(context);
}

}  // namespace ladderline::node
