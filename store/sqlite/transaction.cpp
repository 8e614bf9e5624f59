#include "store/sqlite/transaction.hpp"

#include <sqlite3.h>

#include "store/sqlite/error.hpp"

namespace ladderline::store::sqlite {

Result<Transaction> Transaction::begin(Database& database) {
    ENSURE(!database.in_transaction());
    TRY(database.run("BEGIN IMMEDIATE"));
    return Transaction(database.handle(), database.told_of_commits());
}

Transaction::Transaction(Transaction&& other) noexcept
    : connection_(std::exchange(other.connection_, nullptr)), told_(other.told_) {}

Transaction::~Transaction() {
    roll_back();
}

Result<void> Transaction::commit() {
    ENSURE(connection_ != nullptr);
    if (sqlite3_get_autocommit(connection_) != 0) {
        connection_ = nullptr;
        return Error{Fault::disk,
                     "An earlier failure had already undone this step: nothing of it was stored; try again."};
    }
    const int code = sqlite3_exec(connection_, "COMMIT", nullptr, nullptr, nullptr);
    if (code == SQLITE_OK) {
        connection_ = nullptr;
        if (*told_) (*told_)();
        return ok();
    }
    Error error = error_of(code, connection_);
    roll_back();
    return error;
}

void Transaction::roll_back() {
    if (connection_ == nullptr) return;
    if (sqlite3_get_autocommit(connection_) == 0) {
        // Its own failure leaves nothing to do: SQLite keeps no half of a transaction, and the next open recovers.
        static_cast<void>(sqlite3_exec(connection_, "ROLLBACK", nullptr, nullptr, nullptr));
    }
    connection_ = nullptr;
}

}  // namespace ladderline::store::sqlite
