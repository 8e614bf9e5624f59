#pragma once
// What a path holds: statements about items, contacts, arranged contacts.

#include "node/domain/ladder/record.hpp"
#include "node/read_models/circle_views.hpp"

namespace ladderline::node {

// Statements of present members and of removed ones up to their cut, in no order.
Result<std::vector<domain::Statement>> statements(store::sqlite::Database& db, const protocol::CircleId& circle);

struct ContactView {
    protocol::EventId id;
    protocol::MemberId by;
    protocol::ContactBody contact;
};
// Newest first.
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
