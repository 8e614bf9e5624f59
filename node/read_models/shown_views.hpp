#pragma once
// What members show their circles: the newest that stands, and what was said before.

#include <map>

#include "node/read_models/row_story.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::node {

// A write of a register kind.
struct ShownView {
    protocol::MemberId by;
    protocol::EventId id;
    WallTime said;
    Bytes payload;
};
// The newest standing write of every author, by author.
Result<std::vector<ShownView>> shown(store::sqlite::Database& db, const protocol::CircleId& circle, std::uint16_t kind);
Result<std::optional<ShownView>> shown_by(store::sqlite::Database& db, const protocol::CircleId& circle,
                                          std::uint16_t kind, const protocol::MemberId& author);

// Every write of a register kind, replaced ones too, oldest first.
Result<std::vector<ShownView>> shown_history(store::sqlite::Database& db, const protocol::CircleId& circle,
                                             std::uint16_t kind);

// When each author first showed something of a kind.
Result<std::map<protocol::MemberId, WallTime>> first_shown(store::sqlite::Database& db,
                                                           const protocol::CircleId& circle, std::uint16_t kind);

struct ToldRows {
    std::optional<ShownView> newest;  // that stands
    RowStory story;
};
// The rows of every author in the club's list, put together. Left out is who has none.
Result<std::map<protocol::MemberId, ToldRows>> row_stories(store::sqlite::Database& db,
                                                           const protocol::CircleId& circle);
// The row of every author as it stood at the end of `day`. Left out is who had none.
Result<std::map<protocol::MemberId, protocol::ClubRowBody>> rows_at(store::sqlite::Database& db,
                                                                    const protocol::CircleId& circle, Day day);

}  // namespace ladderline::node
