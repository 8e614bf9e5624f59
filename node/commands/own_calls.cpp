#include "node/commands/own_calls.hpp"

#include <algorithm>

#include "node/domain/ladder/ticks.hpp"
#include "node/domain/rules/call_sign.hpp"

namespace ladderline::node {
namespace {

bool same(const std::string& a, const std::string& b) {
    const auto one = domain::split_call(a);
    const auto other = domain::split_call(b);
    return one && other && domain::same_call(one.value(), other.value());
}

}  // namespace

OwnCalls::OwnCalls(const std::vector<domain::Statement>& said) {
    std::vector<domain::Statement> of_grant;
    for (const domain::Statement& s : said) {
        if (s.item == domain::known_item::grant_visible) of_grant.push_back(s);
    }
    ticks_ = domain::standing_ticks(of_grant);
    std::stable_sort(ticks_.begin(), ticks_.end(), [](const auto& a, const auto& b) { return a.day < b.day; });
}

std::string OwnCalls::named(const std::string& call) const {
    for (const domain::Mark& tick : ticks_) {
        if (same(tick.text, call)) return tick.text;
    }
    return {};
}

std::vector<Day> OwnCalls::days() const {
    std::vector<Day> out;
    for (const domain::Mark& tick : ticks_) out.push_back(tick.day);
    return out;
}

domain::ItemState OwnCalls::grant_of(const std::string& station) const {
    domain::ItemState out;
    for (const domain::Mark& tick : ticks_) {
        const bool names_it = same(tick.text, station);
        if (!out.tick || names_it) out.tick = tick;
        if (names_it) break;
    }
    return out;
}

Result<OwnCalls> own_calls(Context& context, const WayView& way) {
    TRY(auto said, statements(context.db, way.circle.id));
    std::erase_if(said, [&](const domain::Statement& s) { return !stands(context.edition, way, s); });
    return OwnCalls(said);
}

Result<bool> is_own_side(Context& context, const WayView& way, const std::string& worked) {
    if (context.me.id() == way.owner.id || way.call_sign.empty()) return false;
    TRY(const OwnCalls calls, own_calls(context, way));
    return calls.has(worked);
}

}  // namespace ladderline::node
