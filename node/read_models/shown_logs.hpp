#pragma once
// The logs in which members show something, and every write of one author: what the views of shown things are made of.
// Used by those alone.

#include <tuple>

#include "node/read_models/shown_views.hpp"

namespace ladderline::node {

// A log of an author with writes of one kind.
struct ShownLog {
    std::int64_t ref = 0;
    std::int64_t seq_min = 0;  // those that count
    std::int64_t seq_max = 0;
    WallTime said_first;
    ShownView latest;
    bool is_plain = false;     // from first to last all count, in order of their times
    bool is_replaced = false;  // the latest, by a later write of its author
    Bytes story;
    std::optional<WallTime> dropped_until = {};  // what was said up to then is shown to nobody
};
using ShownLogs = std::map<protocol::MemberId, std::vector<ShownLog>>;

enum class Read : std::uint8_t { all, times };  // `times`: without what was said, and whether it was replaced

// Only `author`'s if one is given.
Result<ShownLogs> shown_logs(store::sqlite::Database& db, const protocol::CircleId& circle, std::uint16_t kind,
                             const std::optional<protocol::MemberId>& author = {}, Read read = Read::all);

// A write with its place among those of other logs.
struct Placed {
    std::int64_t count = 0;
    bool stands = false;  // no later write of its author took its place
    ShownView view;

    auto order() const { return std::tie(view.said, count, view.id); }
};
// Every write that counts, in order of time.
Result<std::vector<Placed>> all_writes(store::sqlite::Database& db, const protocol::CircleId& circle,
                                       std::uint16_t kind, const protocol::MemberId& by,
                                       const std::vector<ShownLog>& logs);

}  // namespace ladderline::node
