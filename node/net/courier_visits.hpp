#pragma once
// When the couriers of this node's circles are visited: at the start, a moment after news of this node's own, every few
// minutes, and after a failure with longer and longer pauses. One after the other; a courier is left as soon as both
// hold the same. Places that are to be ended are ended on the same round.

#include <functional>

#include "node/net/courier_visit.hpp"

namespace ladderline::node::net {

struct VisitTimes {
    std::int64_t look_ms = 1000;          // between two looks for what is due
    std::int64_t after_news_ms = 2000;    // news come in bunches
    std::int64_t again_ms = 5 * 60'000;   // after a visit, and up to a fifth more
    std::int64_t first_retry_ms = 5'000;  // doubled with every failure
    std::int64_t last_retry_ms = 60 * 60'000;
    CourierTimes call;
};

class CourierVisits {
public:
    CourierVisits(boost::asio::any_io_executor strand, const Parts& parts, VisitTimes times = {});
    // The io_context must not be running on another thread.
    ~CourierVisits();
    CourierVisits(const CourierVisits&) = delete;
    CourierVisits& operator=(const CourierVisits&) = delete;

    void start();
    void stop();
    // Events of the circle were stored here.
    void on_news(const protocol::CircleId& circle);
    // A courier may have been named just now, or the network is back: everything is due.
    void look_again();
    // Visits that came to an end with both sides holding the same.
    std::size_t good_visits() const;

private:
    struct State;
    std::shared_ptr<State> state_;
};

}  // namespace ladderline::node::net
