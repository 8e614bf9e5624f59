#pragma once
// What members wish for a pairing, and the words said about one. The steps of pairings are in circle_views.hpp.

#include "node/read_models/circle_views.hpp"
#include "protocol/event/pairing_bodies.hpp"

namespace ladderline::node {

// The steps of pairings as they would be if `officer` had no officer's seat any more.
Result<std::vector<PairingView>> pairings_without(store::sqlite::Database& db, const protocol::CircleId& circle,
                                                  const protocol::MemberId& officer);

struct WishView {
    protocol::MemberId by;
    protocol::EventId id;
    protocol::PairingWishBody wish;
};
// The newest of everybody in the circle.
Result<std::vector<WishView>> pairing_wishes(store::sqlite::Database& db, const protocol::CircleId& circle);

struct PairingWordView {
    protocol::MemberId by;
    WallTime said;
    protocol::PairingReviewBody what;
};
// Oldest first, those alone that their authors may say: at a review either of the two, a hand-over the mentor or an
// officer, that somebody cannot be reached an officer.
Result<std::vector<PairingWordView>> pairing_words(store::sqlite::Database& db, const protocol::CircleId& circle);

}  // namespace ladderline::node
