#include "node/net/visit_turns.hpp"

#include <algorithm>
#include <tuple>

namespace ladderline::node::net {

using namespace protocol;

bool VisitTurns::has_room(const CircleId& circle, MonoTime now) const {
    std::size_t holding = 0;
    for (const auto& [key, turn] : turns_) {
        if (!turn.began || now >= *turn.began + times_.hold_ms) continue;
        if (key.first == circle || ++holding == visits_at_once_max) return false;
    }
    return true;
}

std::vector<std::size_t> VisitTurns::begin_due(const std::vector<Place>& places, MonoTime now) {
    std::vector<std::size_t> due;
    for (std::size_t i = 0; i < places.size(); ++i) {
        const Turn& turn = turn_of(places[i].at);
        if (!turn.began && turn.next <= now) due.push_back(i);
    }
    std::stable_sort(due.begin(), due.end(), [&](std::size_t a, std::size_t b) {
        return std::tuple(places[a].unasked, turn_of(places[a].at).next) <
               std::tuple(places[b].unasked, turn_of(places[b].at).next);
    });
    std::vector<std::size_t> out;
    for (const std::size_t i : due) {
        if (!has_room(places[i].at.circle, now)) continue;
        turn_of(places[i].at).began = now;
        out.push_back(i);
    }
    return out;
}

void VisitTurns::ended_well(const store::AtCourier& at, MonoTime now, std::uint16_t spread) {
    const std::int64_t more = times_.again_ms / 5 * spread / 65'536;
    turn_of(at) = {now + times_.again_ms + more, 0, false, std::nullopt};
}

void VisitTurns::failed(const store::AtCourier& at, MonoTime now) {
    Turn& turn = turn_of(at);
    turn.wait_ms = turn.wait_ms == 0 ? times_.first_retry_ms : std::min(turn.wait_ms * 2, times_.last_retry_ms);
    turn.next = now + turn.wait_ms;
    turn.by_news = false;
    turn.began.reset();
}

void VisitTurns::go_again_soon(const store::AtCourier& at, MonoTime now) {
    turn_of(at).next = now + times_.after_news_ms;
}

void VisitTurns::on_news(const CircleId& circle, MonoTime now) {
    const MonoTime soon = now + times_.after_news_ms;
    for (auto& [key, turn] : turns_) {
        // One that failed is called when its pause is over, whatever happens here meanwhile.
        if (key.first != circle || turn.wait_ms != 0 || turn.next <= soon) continue;
        turn.next = soon;
        turn.by_news = true;
    }
}

bool VisitTurns::take_by_news(const store::AtCourier& at) {
    return std::exchange(turn_of(at).by_news, false);
}

void VisitTurns::all_are_due() {
    for (auto& [key, turn] : turns_) turn.next = {};
}

}  // namespace ladderline::node::net
