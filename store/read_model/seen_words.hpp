#pragma once
// Which of the words about one thing their authors had seen: what protocol::order_of wants to know beside their times.

#include <functional>

#include "protocol/event/word_order.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

// Whether the word at `later` may say that it replaces the one at `earlier`; both are places in `words`.
using MayReplace = std::function<bool(std::size_t later, std::size_t earlier)>;

// Fills in `seen`. `sql` gives the id of a word of the circle ?1, and log and number of an event that supersedes it;
// what is not among `words` is passed over.
Result<void> fill_in_seen(sqlite::Database& db, std::string_view sql, const protocol::CircleId& circle,
                          std::vector<protocol::PlacedWord>& words, const MayReplace& may_replace);

// What a word that is to replace all these names: the last of each log, the latest first, as many as an event may name.
// `order`: places in `words`, the latest last.
std::vector<protocol::EventId> last_of_each_log(const std::vector<protocol::PlacedWord>& words,
                                                const std::vector<std::size_t>& order);

}  // namespace ladderline::store
