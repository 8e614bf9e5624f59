#pragma once
// When the couriers of this node's circles are visited: at the start, a moment after news of this node's own, every few
// minutes, and after a failure with longer and longer pauses. How many at once is in visit_turns.hpp; a courier is left
// as soon as both hold the same. Places that are to be ended have turns like visits.

#include "node/net/visit_turns.hpp"

namespace ladderline::node::net {

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
