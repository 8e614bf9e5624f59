#pragma once
// Whose turn it is to be visited, of the couriers of this node's circles. Time is an argument, and nothing is called
// here: whoever is told to begin a visit says how it ended.
//
// A few visits run at once, and of one circle one. A visit that takes long goes on, and holds nobody up: a courier may
// send a byte now and then for as long as it likes, and a line that dies does so without meaning it.

#include <map>

#include "node/net/courier_visit.hpp"

namespace ladderline::node::net {

struct VisitTimes {
    std::int64_t look_ms = 1000;          // between two looks for what is due
    std::int64_t after_news_ms = 2000;    // news come in bunches
    std::int64_t again_ms = 5 * 60'000;   // after a visit, and up to a fifth more
    std::int64_t first_retry_ms = 5'000;  // doubled with every failure
    std::int64_t last_retry_ms = 60 * 60'000;
    std::int64_t hold_ms = 60'000;  // others wait for a visit no longer than this
    CourierTimes call;
};

// Visits that others wait for, at once.
inline constexpr std::size_t visits_at_once_max = 4;

class VisitTurns {
public:
    // `unasked`: of a circle that came by a key that its owner did not ask for. Goes after all others.
    struct Place {
        store::AtCourier at;
        bool unasked = false;
    };

    explicit VisitTurns(VisitTimes times) : times_(times) {}

    // Those of `places` that are to be called now, as positions in it. They count as running until they have ended.
    std::vector<std::size_t> begin_due(const std::vector<Place>& places, MonoTime now);
    // A visit has ended well, or was not needed. `spread`: 0 to 65,535, by chance.
    void ended_well(const store::AtCourier& at, MonoTime now, std::uint16_t spread);
    void failed(const store::AtCourier& at, MonoTime now);
    // There is something to leave there.
    void go_again_soon(const store::AtCourier& at, MonoTime now);
    // Events of the circle were stored here. Couriers whose pause after a failure runs, or whose visit does, are left.
    void on_news(const protocol::CircleId& circle, MonoTime now);
    // Since the visit before this one it was news alone that made it due.
    bool take_by_news(const store::AtCourier& at);
    // Everything is due that does not run.
    void all_are_due();

private:
    using Key = std::pair<protocol::CircleId, protocol::DhPublic>;
    struct Turn {
        MonoTime next;
        std::int64_t wait_ms = 0;  // after failures in a row
        bool by_news = false;
        std::optional<MonoTime> began;  // while a visit runs
    };

    Turn& turn_of(const store::AtCourier& at) { return turns_[{at.circle, at.courier}]; }
    bool has_room(const protocol::CircleId& circle, MonoTime now) const;

    VisitTimes times_;
    std::map<Key, Turn> turns_;
};

}  // namespace ladderline::node::net
