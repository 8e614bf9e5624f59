#pragma once
// Couriers of this node's circles: taking a place at one, telling the circle, what is known of it, ending it. And the
// keeper's side: a store that is a courier's, the places that it gives out.

#include "node/commands/context.hpp"
#include "protocol/courier/messages.hpp"
#include "protocol/handshake/preface.hpp"
#include "store/courier/courier_desk.hpp"
#include "store/courier/courier_notes.hpp"

namespace ladderline::node {

inline constexpr std::string_view courier_limits =
    "A courier holds sealed copies. It sees their sizes, counts and times, which device wrote each, and addresses that "
    "call; it cannot read or forge anything, but it can drop or delay. It is never the only copy. Sealed news never go "
    "over amateur frequencies.";

// What this owner would register, once the courier agrees.
struct PlaceWish {
    CircleView circle;
    std::string address;  // host:port
    protocol::InviteId code;
    Bytes secret;
    protocol::PlaceMessage words;
    protocol::SecretBytes seed;  // of the registrar's key
};
// refused: the owner may not bring the circle a new key. bad_input: a mistyped code or address.
Result<PlaceWish> wish_for_place(Context& context, const CircleView& circle, std::string_view address,
                                 std::string_view code);
// The courier agreed: everybody in the circle hears of it.
Result<Done> announce_courier(Context& context, const PlaceWish& wish, const protocol::PlacedMessage::Place& place);

// The circle hears that its couriers, or the one at that address, are no longer used; places that this node took are
// marked to be ended. Gives those.
struct Withdrawn {
    std::size_t couriers = 0;
    std::vector<store::AtCourier> to_stop;
};
Result<Withdrawn> withdraw_couriers(Context& context, const CircleView& circle, std::string_view address);

// A courier of a circle, as this node knows it.
struct CourierSight {
    std::string circle;
    protocol::CircleId circle_id;
    std::string address;
    std::string key;  // first digits
    std::uint64_t quota_bytes = 0;
    std::uint64_t used_bytes = 0;
    std::uint32_t days = 0;
    std::optional<WallTime> stored_at;  // by the courier's clock, as its latest receipt says
    std::uint64_t own_beyond = 0;       // own events that no receipt covers yet
    std::optional<WallTime> last_ok;
    std::string trouble;  // one or more sentences; empty if none
};
Result<std::vector<CourierSight>> courier_sights(Context& context);
// Of one circle.
Result<std::vector<CourierSight>> courier_sights(Context& context, const protocol::CircleId& circle);
// In a few words, without the circle's name and the last full stop: "stored at a.example:7310 on ...".
std::string in_words(const CourierSight& sight);

// True for the store of a courier.
Result<bool> is_courier(store::sqlite::Database& db);
// Makes this fresh store a courier's.
Result<Done> begin_courier(Context& context);

struct PlaceRequest {
    std::uint64_t mebibytes = 256;
    std::uint32_t days = 180;    // kept without a visit
    std::uint32_t good_for = 7;  // days until the code is over, 1 to 60
};
struct GivenPlace {
    std::string code;
    WallTime expires;
};
Result<GivenPlace> give_place(Context& context, const PlaceRequest& request);
Result<std::vector<store::PlaceLine>> given_places(Context& context);
// `start`: the first digits of the circle's id, as the list shows them.
Result<Done> end_place(Context& context, std::string_view start);

}  // namespace ladderline::node
