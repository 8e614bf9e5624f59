#pragma once
// SQLite's result codes as Fault and sentence.

#include "protocol/base/result.hpp"

struct sqlite3;

namespace ladderline::store::sqlite {

// `code`: an extended result code that is not SQLITE_OK. `connection` (may be null) lends its message where that helps.
//
// FULL                                  disk         (also an I/O error whose errno was ENOSPC or EDQUOT)
// BUSY, LOCKED                          busy
// NOTADB, CORRUPT, IOERR_DATA, IOERR_CORRUPTFS  damaged  (the vault answers a page that does not open with IOERR_DATA)
// other IOERR, READONLY, CANTOPEN, PERM disk
// CONSTRAINT, TOOBIG, MISMATCH          bad_input    (values reach SQL only after the checks of the layers above, so
// this
//                                                     is the tables' last word on a value, not a bug that ends us)
// NOMEM refused, INTERRUPT cancelled
// ERROR and the rest                    damaged      (the tables are not those this program makes)
// MISUSE, RANGE                         end the process: a bug of ours
Error error_of(int code, sqlite3* connection);

}  // namespace ladderline::store::sqlite
