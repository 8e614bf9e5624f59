#pragma once
// A write transaction: everything inside is stored, or nothing is.

#include "store/sqlite/database.hpp"

namespace ladderline::store::sqlite {

// Move-only; must not outlive its Database. Not nestable: beginning a second one is a bug of ours.
class [[nodiscard]] Transaction {
public:
    // BEGIN IMMEDIATE: the write lock is taken now, so a later statement cannot fail as busy.
    static Result<Transaction> begin(Database& database);

    Transaction(Transaction&& other) noexcept;
    Transaction& operator=(Transaction&&) = delete;
    // Rolls back unless committed.
    ~Transaction();

    // On success everything is on the disk. On any error the transaction has been rolled back: nothing of it is stored.
    Result<void> commit();
    // For a step that decided against itself; the destructor does the same.
    void roll_back();

private:
    Transaction(sqlite3* connection, const std::function<void()>& told) : connection_(connection), told_(&told) {}

    sqlite3* connection_;
    const std::function<void()>* told_;  // lives as long as the connection
};

}  // namespace ladderline::store::sqlite
