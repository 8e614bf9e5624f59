#include "store/sqlite/library.hpp"

#include <sqlite3.h>

namespace ladderline::store::sqlite {

std::string_view library_version() {
    return sqlite3_libversion();
}

}  // namespace ladderline::store::sqlite
