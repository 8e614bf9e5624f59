#pragma once
// What this node no longer shows of what members said in a club: old records, removed by its owner. A bare mark stays
// beside the events, so that a table made anew, or an old machine's news, does not bring them back.

#include <map>

#include "protocol/event/ids.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::node {

// Until when what a member said of one kind is dropped, that moment included.
using Dropped = std::map<std::pair<protocol::MemberId, std::uint16_t>, WallTime>;
Result<Dropped> dropped(store::sqlite::Database& db, const protocol::CircleId& circle);

inline bool is_dropped(const Dropped& marks, const protocol::MemberId& by, std::uint16_t kind, WallTime said) {
    const auto mark = marks.find({by, kind});
    return mark != marks.end() && said <= mark->second;
}

Result<void> mark_dropped(store::sqlite::Database& db, const protocol::CircleId& circle, const protocol::MemberId& by,
                          std::uint16_t kind, WallTime until);

}  // namespace ladderline::node
