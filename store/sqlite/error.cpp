#include "store/sqlite/error.hpp"

#include <sqlite3.h>

#include <cerrno>

#include "protocol/base/ensure.hpp"

namespace ladderline::store::sqlite {
namespace {

Error disk_full() {
    return {Fault::disk, "The disk is full: nothing of this step was stored; free some space and try again."};
}

Error damaged() {
    return {Fault::damaged,
            "The store is damaged: bytes on the disk are not what was written; nothing was changed. 'ladderline mend' "
            "keeps "
            "what can be read and lets peers send the rest; a backup can be restored."};
}

bool out_of_space(sqlite3* connection) {
    const int system_error = connection == nullptr ? 0 : sqlite3_system_errno(connection);
    return system_error == ENOSPC || system_error == EDQUOT;
}

std::string message_of(int code, sqlite3* connection) {
    return connection == nullptr ? sqlite3_errstr(code) : sqlite3_errmsg(connection);
}

Error io_error(int code, sqlite3* connection) {
    if (code == SQLITE_IOERR_DATA || code == SQLITE_IOERR_CORRUPTFS) return damaged();
    if (code == SQLITE_IOERR_NOMEM) return error_of(SQLITE_NOMEM, connection);
    if (out_of_space(connection)) return disk_full();
    return {Fault::disk,
            "The disk did not read or write as asked: nothing of this step was stored; check the disk and try again."};
}

}  // namespace

Error error_of(int code, sqlite3* connection) {
    ENSURE(code != SQLITE_OK && code != SQLITE_ROW && code != SQLITE_DONE);
    switch (code & 0xff) {
        case SQLITE_FULL:
            return disk_full();
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            return {Fault::busy,
                    "The store is in use elsewhere: nothing of this step was stored; try again in a moment."};
        case SQLITE_NOTADB:
        case SQLITE_CORRUPT:
            return damaged();
        case SQLITE_IOERR:
            return io_error(code, connection);
        case SQLITE_READONLY:
        case SQLITE_PERM:
            return {
                Fault::disk,
                "The store cannot be written: nothing was stored; check that its folder and disk are not read-only."};
        case SQLITE_CANTOPEN:
            return {
                Fault::disk,
                "A file of the store cannot be opened: nothing was stored; check that its folder exists and is yours."};
        case SQLITE_CONSTRAINT:
        case SQLITE_TOOBIG:
        case SQLITE_MISMATCH:
            return {Fault::bad_input, "The store's rules refuse this value, so nothing of this step was stored (" +
                                          message_of(code, connection) + ")."};
        case SQLITE_NOMEM:
            return {Fault::refused,
                    "There is not enough free memory: nothing of this step was stored; close other programs and try "
                    "again."};
        case SQLITE_INTERRUPT:
            return {Fault::cancelled, "Stopped; nothing of this step was stored."};
        case SQLITE_MISUSE:
        case SQLITE_RANGE:
            ENSURE(!"SQLite was called wrongly");
            [[fallthrough]];
        default:
            return {Fault::damaged, "The store's tables are not as this program makes them; nothing was changed (" +
                                        message_of(code, connection) + ")."};
    }
}

}  // namespace ladderline::store::sqlite
