#pragma once
// One connection to one SQLite database, with a cache of prepared statements.
// Thread rule: a Database and everything made from it belongs to one thread, or one strand, at a time.

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <utility>

#include "store/sqlite/statement.hpp"

struct sqlite3;

namespace ladderline::store::sqlite {

// Errors of every function below (see error.hpp): disk (full, failing or read-only), busy, damaged, bad_input (a
// constraint of the tables refuses the value), refused (no memory), cancelled.
class Database {
public:
    // A plain database that lives in memory and dies with the object; foreign keys on. For tests and scratch work:
    // a store on disk is opened with vault::open_database.
    static Result<Database> in_memory();
    // A plain, unencrypted file; never a person's store. `vfs` empty: the system's.
    static Result<Database> open_plain(const std::string& file, const std::string& vfs = {});
    // Takes over an open connection. `keeper` is released after the connection has been closed.
    static Database adopt(sqlite3* connection, std::shared_ptr<void> keeper);

    Database(Database&&) noexcept;
    Database& operator=(Database&&) noexcept;
    ~Database();

    // For a statement kept by the caller; `run` and `query` are the usual way.
    Result<Statement> prepare(std::string_view sql);
    // One or more statements separated by semicolons, without parameters. Stops at the first that fails.
    Result<void> execute(std::string_view sql);

    // One statement, its parameters bound in order (see Statement::bind). The prepared form is kept for the next call
    // with the same text, so `sql` should be a literal with ?1 ?2 ... and never carry values.
    template <class... A>
    Result<void> run(std::string_view sql, const A&... values) {
        TRY(Lease lease, borrow(sql));
        return lease.statement().run(values...);
    }

    // As run, with on_row(const Row&) called for every row; on_row returns void, or Result<void> to stop at its error.
    // on_row may use this database, the same text included.
    template <class Fn, class... A>
    Result<void> query(std::string_view sql, Fn&& on_row, const A&... values) {
        TRY(Lease lease, borrow(sql));
        return lease.statement().query(std::forward<Fn>(on_row), values...);
    }

    std::int64_t last_insert_rowid() const;
    // Rows changed by the last INSERT, UPDATE or DELETE.
    std::int64_t changes() const;
    // True between a BEGIN and its end. SQLite itself ends a transaction when the disk fails in the middle of it.
    bool in_transaction() const;

    // Called after every Transaction that was committed; may read this database. Empty: nobody is told.
    void on_commit(std::function<void()> told);
    // Asked every few milliseconds while a statement runs; false stops it with Fault::cancelled. Empty: nobody is
    // asked.
    void on_work(std::function<bool()> go_on);

    // For store/vault and tests of this folder only.
    sqlite3* handle() const;

private:
    struct State;

    // A cached statement, out of the cache while in use: a query inside on_row gets another one.
    class Lease {
    public:
        Lease(State& state, std::string sql, Statement statement);
        Lease(Lease&& other) noexcept;
        Lease& operator=(Lease&&) = delete;
        ~Lease();
        Statement& statement() { return statement_; }

    private:
        State* state_;
        std::string sql_;
        Statement statement_;
    };

    explicit Database(std::unique_ptr<State> state);
    Result<Lease> borrow(std::string_view sql);
    const std::function<void()>& told_of_commits() const;

    std::unique_ptr<State> state_;

    friend class Transaction;
};

}  // namespace ladderline::store::sqlite
