#include "tests/bench/store/calls.hpp"

#include <dlfcn.h>

namespace ladderline::bench {

const SqliteCalls& system_calls() {
    static const SqliteCalls calls{
        sqlite3_libversion, sqlite3_open_v2,     sqlite3_close,        sqlite3_exec,        sqlite3_errmsg,
        sqlite3_prepare_v2, sqlite3_finalize,    sqlite3_step,         sqlite3_reset,       sqlite3_bind_int64,
        sqlite3_bind_blob,  sqlite3_column_blob, sqlite3_column_bytes, sqlite3_column_text,
    };
    return calls;
}

#ifdef LADDERLINE_SQLCIPHER

namespace {

template <class Fn>
bool find(void* library, const char* name, Fn& out) {
    out = reinterpret_cast<Fn>(dlsym(library, name));
    return out != nullptr;
}

}  // namespace

std::optional<SqliteCalls> load_sqlcipher(std::string& why) {
    // DEEPBIND: its calls to itself stay in it.
    void* library = dlopen(LADDERLINE_SQLCIPHER, RTLD_NOW | RTLD_LOCAL | RTLD_DEEPBIND);
    if (library == nullptr) {
        why = "SQLCipher could not be loaded";
        return std::nullopt;
    }
    SqliteCalls calls{};
    const bool all =
        find(library, "sqlite3_libversion", calls.libversion) && find(library, "sqlite3_open_v2", calls.open_v2) &&
        find(library, "sqlite3_close", calls.close) && find(library, "sqlite3_exec", calls.exec) &&
        find(library, "sqlite3_errmsg", calls.errmsg) && find(library, "sqlite3_prepare_v2", calls.prepare_v2) &&
        find(library, "sqlite3_finalize", calls.finalize) && find(library, "sqlite3_step", calls.step) &&
        find(library, "sqlite3_reset", calls.reset) && find(library, "sqlite3_bind_int64", calls.bind_int64) &&
        find(library, "sqlite3_bind_blob", calls.bind_blob) &&
        find(library, "sqlite3_column_blob", calls.column_blob) &&
        find(library, "sqlite3_column_bytes", calls.column_bytes) &&
        find(library, "sqlite3_column_text", calls.column_text);
    if (!all) {
        why = "the SQLCipher found lacks a function";
        return std::nullopt;
    }
    return calls;
}

#else

std::optional<SqliteCalls> load_sqlcipher(std::string& why) {
    why = "SQLCipher was not there when this was configured (Debian package libsqlcipher-dev)";
    return std::nullopt;
}

#endif

}  // namespace ladderline::bench
