#pragma once
// One call to a courier: taking a place there, a visit for one circle, ending a place.
// Each is made under a key of its own, and one circle goes over each connection, so that the courier cannot tell
// devices apart, or which circles have members in common, by anything that is said. It does see addresses and times.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>

#include "node/net/address.hpp"
#include "node/net/call.hpp"
#include "node/net/duplex.hpp"
#include "node/net/host.hpp"
#include "store/courier/courier_model.hpp"
#include "store/courier/courier_notes.hpp"

namespace ladderline::node::net {

struct CourierTimes {
    std::int64_t connect_ms_max = 15'000;
    DuplexTimes talk;
};

struct PlaceSetup {
    Address address;
    protocol::InviteId code;
    Bytes secret;  // 32 bytes
    protocol::PlaceMessage words;
    std::int64_t wait_ms_max = 15'000;
};
// A place that the circle has there already is taken over with a proof of its keys that are held here.
// network: nobody there. refused: the code is unknown, used up or over, or the courier says no.
boost::asio::awaitable<Result<protocol::PlacedMessage::Place>> take_courier_place(boost::asio::any_io_executor strand,
                                                                                  Parts parts, PlaceSetup setup);

// Keeps what the visit brought, the receipt, and how it went; tells the host of news. An error is why it failed, and is
// noted; an outcome may still say that the courier does not let this node in, or is full.
boost::asio::awaitable<Result<protocol::VisitOutcome>> visit_courier(boost::asio::any_io_executor strand, Parts parts,
                                                                     store::CircleCourier where, CourierTimes times);

// Ends the place; once the courier has said so, everything about it is forgotten here.
boost::asio::awaitable<Result<void>> stop_courier(boost::asio::any_io_executor strand, Parts parts, store::AtCourier at,
                                                  CourierTimes times);

// What a host said behind its answer about couriers, if it did.
Result<void> take_couriers(const Parts& parts, const Reply& reply);

// Why a visit that came to an end brought nothing; empty if it did.
std::string courier_refusal(const protocol::VisitOutcome& outcome);

}  // namespace ladderline::node::net
