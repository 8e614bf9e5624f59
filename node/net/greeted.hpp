#pragma once
// The host's side of one stranger: moves the greeting's messages through the connection of a link, and stands for the
// stranger at the door. It ends with its link.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <memory>

#include "node/net/greeting_door.hpp"
#include "node/net/host.hpp"
#include "protocol/handshake/greeting.hpp"

namespace ladderline::node::net {

class Greeted : public GreetingDoor::Stranger {
public:
    // What the link does for it. Both outlive it.
    struct Line {
        protocol::Connection& connection;
        std::function<void()> flush;    // what waits in the connection is written
        std::function<void()> hang_up;  // after what waits
    };

    // The handshake (xx) is done. Null: the door is shut, or somebody else is inside.
    static std::unique_ptr<Greeted> enter(const Parts& parts, boost::asio::any_io_executor strand, Line line);
    ~Greeted() override;
    Greeted(const Greeted&) = delete;
    Greeted& operator=(const Greeted&) = delete;

    // A message before both have said "same".
    Result<void> on_message(ByteView message);
    // Both have, and the door still stands open for this stranger.
    bool may_join() const { return greeting_.agreed() && door_->is_inside(*this); }
    const protocol::InviteId& offer() const { return door_->offer(); }
    // Precondition: may_join(). Notes the check, and tells the door.
    Result<void> on_welcome(const protocol::JoinMessage& join, const protocol::WelcomeMessage& welcome);

    void say(bool same) override;
    void turn_away() override;

private:
    Greeted(const Parts& parts, boost::asio::any_io_executor strand, Line line);
    Result<void> send_waiting();
    // The stranger has so long for what comes next.
    void allow(std::int64_t wait_ms);

    Parts parts_;
    std::shared_ptr<GreetingDoor> door_;  // the link may outlive the host
    Line line_;
    protocol::Greeting greeting_;
    boost::asio::steady_timer limit_;
    std::shared_ptr<bool> lives_ = std::make_shared<bool>(true);
};

}  // namespace ladderline::node::net
