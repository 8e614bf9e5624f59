#pragma once
// What the network asks of the node, answered by the commands.

#include "node/commands/context.hpp"
#include "node/net/greeting_door.hpp"
#include "node/net/host.hpp"

namespace ladderline::node {

class NodeHost : public net::Host {
public:
    explicit NodeHost(Context& context) : context_(context) {}

    std::shared_ptr<net::GreetingDoor> greeting_door() override { return door_; }
    std::optional<protocol::Psk> invite_secret(const protocol::InviteId& invite) override;
    Result<protocol::WelcomeMessage> let_in(const protocol::InviteId& invite,
                                            const protocol::JoinMessage& join) override;
    Result<protocol::ReturnedMessage> let_back(const protocol::ReturnMessage& message) override;
    // Keys are taken until the circle shows this node's owner as a member; from then on it keeps those that it has.
    Result<bool> take_grant(const protocol::GrantMessage& grant, const protocol::DhPublic& peer) override;
    void changed(const protocol::CircleId& circle) override;
    // Called after something of somebody else's has arrived.
    void on_arrival(std::function<void()> told) { arrived_ = std::move(told); }
    void settled(const protocol::CircleId& circle) override;
    // Called after that.
    void on_settled(std::function<void(const protocol::CircleId&)> told) { settled_ = std::move(told); }
    void log_line(const std::string& line) override;

private:
    Context& context_;
    std::function<void()> arrived_ = [] {};
    std::function<void(const protocol::CircleId&)> settled_ = [](const protocol::CircleId&) {};
    std::shared_ptr<net::GreetingDoor> door_ = std::make_shared<net::GreetingDoor>();
};

}  // namespace ladderline::node
