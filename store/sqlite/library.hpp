#pragma once
// Which SQLite this process runs with.

#include <string_view>

namespace ladderline::store::sqlite {

// The version of SQLite that this process runs with, as "3.40.1"; it may be newer than the one it was built with.
std::string_view library_version();

}  // namespace ladderline::store::sqlite
