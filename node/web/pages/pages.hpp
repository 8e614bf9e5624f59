#pragma once
// All pages, and the words by which an open page hears that it should look again.

#include <functional>

#include "node/commands/joining.hpp"
#include "node/web/router.hpp"
#include "protocol/base/bytes.hpp"

namespace ladderline::node {
class CopyWork;
}

namespace ladderline::node::web {

class PhoneDoor;

// The live topic of a circle, from its 32 bytes: publish it whenever events of the circle were stored.
std::string topic_of(ByteView circle);
// Listened to by pages that show more circles than one stream may name: publish it together with every topic_of().
inline constexpr std::string_view any_circle_topic = "own";

// Where this node can be reached, host:port, as invites begin with; empty if unknown.
using InviteAddress = std::function<std::string()>;

// What the running node gives the pages beside the store; each may be missing, and what needs it says so or is not
// there.
struct NodeSide {
    InviteAddress invite_address = {};
    Arrivals* arrivals = nullptr;  // joins and greetings
    PhoneDoor* phone = nullptr;
    CopyWork* copy = nullptr;
};

// `context`, and what `node` names or looks at, must outlive the router. Pages run on the strand that the store is used
// from.
void add_pages(Router& router, Context& context, NodeSide node = {});

}  // namespace ladderline::node::web
