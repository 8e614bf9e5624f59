#pragma once
// The states of circles, kept from one question to the next: to fold one, all control events of its circle are read,
// and most questions come between two of them. Thread rule: as the Database.

#include <map>

#include "store/circles/circle_model.hpp"

namespace ladderline::store {

class KnownStates {
public:
    // `db` outlives this.
    explicit KnownStates(sqlite::Database& db) : db_(db) {}

    sqlite::Database& db() { return db_; }
    // As CircleModel::state_of. What is pointed to is good until the next call.
    Result<const protocol::CircleState*> of(const protocol::CircleId& circle);

private:
    // Control events are never taken away, and forks only move to the front: with equal numbers the same events count.
    struct Sources {
        std::int64_t events = 0;
        std::int64_t lost = 0;  // at or beyond a fork

        bool operator==(const Sources&) const = default;
    };
    struct Known {
        Sources from;
        protocol::CircleState state;
    };
    Result<Sources> sources_of(const protocol::CircleId& circle);

    sqlite::Database& db_;
    std::map<protocol::CircleId, Known> known_;
    protocol::CircleState passing_;  // asked for inside a transaction
};

}  // namespace ladderline::store
