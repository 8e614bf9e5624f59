#pragma once
// SQLite's functions as a table, so that the same work runs over libraries whose symbols have the same names.

#include <sqlite3.h>

#include <optional>
#include <string>

namespace ladderline::bench {

struct SqliteCalls {
    decltype(&sqlite3_libversion) libversion;
    decltype(&sqlite3_open_v2) open_v2;
    decltype(&sqlite3_close) close;
    decltype(&sqlite3_exec) exec;
    decltype(&sqlite3_errmsg) errmsg;
    decltype(&sqlite3_prepare_v2) prepare_v2;
    decltype(&sqlite3_finalize) finalize;
    decltype(&sqlite3_step) step;
    decltype(&sqlite3_reset) reset;
    decltype(&sqlite3_bind_int64) bind_int64;
    decltype(&sqlite3_bind_blob) bind_blob;
    decltype(&sqlite3_column_blob) column_blob;
    decltype(&sqlite3_column_bytes) column_bytes;
    decltype(&sqlite3_column_text) column_text;
};

// The library this program is linked with.
const SqliteCalls& system_calls();

// SQLCipher, if it was found when this was configured and can be loaded now; else nothing, and `why` says so.
// It is loaded apart from everything else, because it brings a SQLite of its own under the same names.
std::optional<SqliteCalls> load_sqlcipher(std::string& why);

}  // namespace ladderline::bench
