#pragma once
// What a person has to know about a store that is older than it was, kept until they have read it.

#include <optional>
#include <string>

#include "store/sqlite/database.hpp"

namespace ladderline::store {

inline constexpr std::string_view older_store_words =
    "Let it sync before you write. Invites and courier codes of before let nobody in any more; make new ones. Whoever "
    "joined since then is not known here yet: invite them again.";

Result<void> keep_instance_notice(sqlite::Database& db, std::string_view sentences);
Result<std::optional<std::string>> instance_notice(sqlite::Database& db);
// It was read.
Result<void> forget_instance_notice(sqlite::Database& db);

}  // namespace ladderline::store
