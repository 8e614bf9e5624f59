#include "store/circles/known_states.hpp"

namespace ladderline::store {

using namespace protocol;

Result<KnownStates::Sources> KnownStates::sources_of(const CircleId& circle) {
    Sources out;
    TRY(db_.query(
        "SELECT count(*) FROM control_event WHERE circle = ?1",
        [&](const sqlite::Row& row) { out.events = row.integer(0); }, circle));
    TRY(db_.query(
        "SELECT count(*) FROM control_event AS e WHERE circle = ?1 "
        "AND EXISTS (SELECT 1 FROM fork_proof WHERE circle = ?1) AND EXISTS (SELECT 1 FROM fork_proof AS f "
        "WHERE f.circle = e.circle AND f.log = e.log AND f.seq <= e.seq)",
        [&](const sqlite::Row& row) { out.lost = row.integer(0); }, circle));
    return out;
}

Result<const CircleState*> KnownStates::of(const CircleId& circle) {
    TRY(const Sources from, sources_of(circle));
    const auto known = known_.find(circle);
    if (known != known_.end() && known->second.from == from) return &known->second.state;
    TRY(CircleState state, CircleModel::state_of(db_, circle));
    // What a transaction has not stored yet may be undone, and other events come in its place.
    if (db_.in_transaction()) {
        passing_ = std::move(state);
        return &passing_;
    }
    Known& kept = known_[circle];
    kept = {from, std::move(state)};
    return &kept.state;
}

}  // namespace ladderline::store
