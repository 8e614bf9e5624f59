#pragma once
// Small named values that are this node's alone.

#include <optional>
#include <string>
#include <vector>

#include "store/sqlite/database.hpp"

namespace ladderline::store {

Result<std::optional<Bytes>> get_setting(sqlite::Database& db, std::string_view name);
Result<void> put_setting(sqlite::Database& db, std::string_view name, ByteView value);
Result<std::optional<std::string>> get_text_setting(sqlite::Database& db, std::string_view name);
Result<void> put_text_setting(sqlite::Database& db, std::string_view name, std::string_view value);
// Names that begin with `prefix`, in their order.
Result<std::vector<std::string>> setting_names(sqlite::Database& db, std::string_view prefix);
Result<void> forget_setting(sqlite::Database& db, std::string_view name);

}  // namespace ladderline::store
