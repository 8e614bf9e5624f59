#pragma once
// What the network asks of the node it serves. The application implements it; net itself knows no page and no command.

#include <memory>
#include <optional>

#include "protocol/handshake/connection.hpp"
#include "protocol/sync/messages.hpp"
#include "store/circles/known_states.hpp"
#include "store/event_log/event_log.hpp"
#include "store/identity/identity.hpp"

namespace ladderline::node::net {

class GreetingDoor;

class Host {
public:
    virtual ~Host() = default;
    // The door for strangers who compare check words; null: there is none.
    virtual std::shared_ptr<GreetingDoor> greeting_door() { return nullptr; }
    // The secret of an invite that is open now, or of a present member who comes back (protocol/sync/returning.hpp).
    virtual std::optional<protocol::Psk> invite_secret(const protocol::InviteId& invite) = 0;
    // Somebody proved that secret and says who they are.
    virtual Result<protocol::WelcomeMessage> let_in(const protocol::InviteId& invite,
                                                    const protocol::JoinMessage& join) = 0;
    // Somebody proved to be that member, on that device.
    virtual Result<protocol::ReturnedMessage> let_back(const protocol::ReturnMessage& message) = 0;
    // A member's device granted the key to a circle that this node did not name. True if the node did not know until
    // now that it shares the circle with that device, or again: the next session names it.
    virtual Result<bool> take_grant(const protocol::GrantMessage& grant, const protocol::DhPublic& peer) = 0;
    // Events of the circle arrived from a peer and are stored.
    virtual void changed(const protocol::CircleId& circle) = 0;
    // After that, once both sides hold the same of the circle.
    virtual void settled(const protocol::CircleId& circle) = 0;
    // One line for the operator's log.
    virtual void log_line(const std::string& line) = 0;
};

// What every connection of this node works with; all of it outlives the network.
struct Parts {
    store::sqlite::Database& db;
    store::KnownStates& states;
    store::EventLog& log;
    const store::Identity& me;
    Clock& clock;
    Random& random;
    Host& host;
};

}  // namespace ladderline::node::net
