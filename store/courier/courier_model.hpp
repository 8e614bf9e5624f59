#pragma once
// What the circle's events say of its couriers. Everybody's word is kept; it counts if its author may bring the circle
// a new key (a club's officers, a path's newcomer and guardians, whoever has the desk). For each courier, known by its
// Noise key, the latest word stands, by anybody who may. Of couriers that are not withdrawn the two named latest count:
// whoever may can put a new one in the place of one that is gone, without knowing how to take that back. Latest is as
// protocol::order_of has it, so that a clock that was wrong once decides nothing for long; the same everywhere.

#include "protocol/courier/messages.hpp"
#include "store/read_model/read_model.hpp"

namespace ladderline::store {

class CourierModel : public ReadModel {
public:
    std::string name() const override { return "courier"; }
    std::int64_t version() const override { return 1; }
    std::vector<std::string> tables() const override { return {"courier_word"}; }
    Result<void> reset(sqlite::Database& db) override;
    Result<void> apply(sqlite::Database& db, const OpenedEvent& event) override;
};

struct CircleCourier {
    protocol::CircleId circle;
    protocol::CourierBody said;
    protocol::EventId event;
    WallTime since;
};
// Those that count, the latest first; at most limits::couriers_max.
Result<std::vector<CircleCourier>> couriers_of(sqlite::Database& db, const protocol::CircleId& circle);
// What a new word about that courier replaces.
Result<std::vector<protocol::EventId>> words_about_courier(sqlite::Database& db, const protocol::CircleId& circle,
                                                           const protocol::DhPublic& noise);
// Of all circles that `me` is present in and that this node has a key to, in order of circle, and of those that `me`
// has left, until a courier has that too; where this node cannot read yet who is in a circle, the couriers that a host
// named.
Result<std::vector<CircleCourier>> couriers_for(sqlite::Database& db, const protocol::MemberId& me);
// What a host named. At most limits::couriers_max of a circle are of use.
Result<void> remember_couriers(sqlite::Database& db, const protocol::KnownCouriersMessage& named);
// What this node names to somebody who is let into those circles.
Result<protocol::KnownCouriersMessage> couriers_to_name(sqlite::Database& db,
                                                        const std::vector<protocol::CircleId>& circles);

}  // namespace ladderline::store
