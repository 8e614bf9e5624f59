#pragma once
// A member who lost their machine comes back with their paper key: what the one who lets them back does, and what
// their new device does.

#include "node/commands/context.hpp"
#include "protocol/handshake/preface.hpp"
#include "protocol/sync/messages.hpp"

namespace ladderline::node {

// Who calls under that id: a present member of a circle that this node's owner is present in too. None for anybody
// else, somebody taken out included.
Result<std::optional<protocol::MemberId>> returning_member(Context& context, const protocol::InviteId& id);

// The side that lets back. The caller has proved to be that member and that device (net does it). The device counts as
// the member's, in the circles named in the answer, until its certificate has come. A circle of which the member may
// read nothing today is left out. A refusal is in the answer.
Result<protocol::ReturnedMessage> let_back(Context& context, const protocol::ReturnMessage& message);

// The new device, in this order. Takes the keys, and the host for a device of those circles until they have shown it.
// Gives how many circles there are. peer: keys that are none.
Result<std::size_t> accept_return(Context& context, const protocol::ReturnedMessage::Back& back);
// Once their events are here: says in each circle of the owner's that this device is theirs. Gives in how many it did;
// a circle that shows neither the owner nor all it rests on is left for the next time.
// A place for more: with rules for lost devices, the old one is declared lost here.
Result<std::size_t> certify_own_device(Context& context);
// The owner's name and card as the circles have them, and a fresh desk, unless both are here. not_found if no circle
// shows the owner.
Result<Done> settle_in(Context& context);

}  // namespace ladderline::node
