#pragma once
// What a path holds: statements about items, contacts, arranged contacts.

#include "node/domain/ladder/record.hpp"
#include "node/read_models/circle_views.hpp"

namespace ladderline::node {

// What present members said, and removed ones up to their cut; no signature above its author's level; in no order.
Result<std::vector<domain::Statement>> statements(store::sqlite::Database& db, const protocol::CircleId& circle);

// One word of its author about a contact: as it was written down, changed, or struck out.
struct ContactWord {
    protocol::EventId event;
    WallTime said;
    protocol::ContactBody contact;  // the last one before, where it was struck out
    bool struck = false;
    std::string reason;  // of a strike; may be empty
};
struct ContactView {
    protocol::EventId id;
    protocol::MemberId by;
    protocol::ContactBody contact;     // the last word
    bool struck = false;               // so is that
    std::vector<ContactWord> history;  // oldest first, the last word too; empty where there is only one
};
// Newest first; those that are struck out too. Words of others about somebody's contact are no words.
Result<std::vector<ContactView>> contacts(store::sqlite::Database& db, const protocol::CircleId& circle);

struct MeetingView {
    protocol::EventId id;
    protocol::MemberId by;
    protocol::MeetBody meeting;
    std::optional<protocol::MeetOutcome> outcome;  // the latest said
};
// In order of start.
Result<std::vector<MeetingView>> meetings(store::sqlite::Database& db, const protocol::CircleId& circle);

}  // namespace ladderline::node
