#include "store/sqlite/transaction.hpp"

#include <sqlite3.h>

#include "store/sqlite/error.hpp"

namespace ladderline::store::sqlite {

Result<Transaction> Transaction::begin(Database& database) {
    ENSURE(!database.in_transaction());
    TRY(Database::Lease undo, database.borrow("ROLLBACK"));
    TRY(database.run("BEGIN IMMEDIATE"));
    return Transaction(database.handle(), database.told_of_commits(), std::move(undo));
}

Transaction::Transaction(Transaction&& other) noexcept
    : connection_(std::exchange(other.connection_, nullptr)), told_(other.told_) {
    if (!other.undo_) return;
    undo_.emplace(std::move(*other.undo_));
    other.undo_.reset();
}

Transaction::~Transaction() {
    roll_back();
}

Result<void> Transaction::commit() {
    ENSURE(connection_ != nullptr);
    if (sqlite3_get_autocommit(connection_) != 0) {
        end();
        return Error{Fault::disk,
                     "An earlier failure had already undone this step: nothing of it was stored; try again."};
    }
    const int code = sqlite3_exec(connection_, "COMMIT", nullptr, nullptr, nullptr);
    if (code == SQLITE_OK) {
        end();
        if (*told_) (*told_)();
        return ok();
    }
    Error error = error_of(code, connection_);
    roll_back();
    return error;
}

void Transaction::end() {
    connection_ = nullptr;
    undo_.reset();
}

void Transaction::roll_back() {
    if (connection_ == nullptr) return;
    if (sqlite3_get_autocommit(connection_) == 0) {
        // Its own failure leaves nothing to do: SQLite keeps no half of a transaction, and the next open recovers.
        undo_->statement().run_unheard();
    }
    end();
}

}  // namespace ladderline::store::sqlite
