#include "store/sqlite/database.hpp"

#include <sqlite3.h>

#include <functional>
#include <unordered_map>
#include <vector>

#include "store/sqlite/error.hpp"

namespace ladderline::store::sqlite {
namespace {

// Tuning: more idle statements than this are not kept; a process of ours uses well below two hundred texts.
constexpr std::size_t idle_statements_max = 256;

struct TextHash : std::hash<std::string_view> {
    using is_transparent = void;
};

Result<Statement> prepare_on(sqlite3* connection, std::string_view sql, unsigned flags) {
    sqlite3_stmt* statement = nullptr;
    const int code =
        sqlite3_prepare_v3(connection, sql.data(), static_cast<int>(sql.size()), flags, &statement, nullptr);
    if (code != SQLITE_OK) return error_of(code, connection);
    ENSURE(statement != nullptr);
    return Statement(statement);
}

Result<Database> open_with(const std::string& file, const std::string& vfs, int flags) {
    sqlite3* connection = nullptr;
    const int code = sqlite3_open_v2(file.c_str(), &connection, flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE,
                                     vfs.empty() ? nullptr : vfs.c_str());
    Database database = Database::adopt(connection, nullptr);
    if (code != SQLITE_OK) return error_of(code, connection);
    TRY(database.execute("PRAGMA foreign_keys=ON"));
    return database;
}

}  // namespace

struct Database::State {
    sqlite3* connection = nullptr;
    std::shared_ptr<void> keeper;
    std::unordered_map<std::string, std::vector<Statement>, TextHash, std::equal_to<>> idle;
    std::size_t idle_count = 0;
    std::function<void()> told;
    std::function<bool()> go_on;

    ~State() {
        idle.clear();
        // A failure means that a Statement outlives its Database.
        ENSURE(sqlite3_close(connection) == SQLITE_OK);
    }
};

Database::Database(std::unique_ptr<State> state) : state_(std::move(state)) {}
Database::Database(Database&&) noexcept = default;
Database& Database::operator=(Database&&) noexcept = default;
Database::~Database() = default;

Result<Database> Database::in_memory() {
    return open_with(":memory:", {}, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
}

Result<Database> Database::open_plain(const std::string& file, const std::string& vfs) {
    return open_with(file, vfs, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
}

Database Database::adopt(sqlite3* connection, std::shared_ptr<void> keeper) {
    auto state = std::make_unique<State>();
    state->connection = connection;
    state->keeper = std::move(keeper);
    return Database(std::move(state));
}

Result<Statement> Database::prepare(std::string_view sql) {
    return prepare_on(state_->connection, sql, 0);
}

Result<void> Database::execute(std::string_view sql) {
    const std::string text(sql);
    const char* rest = text.c_str();
    while (*rest != '\0') {
        sqlite3_stmt* raw = nullptr;
        const int code = sqlite3_prepare_v2(state_->connection, rest, -1, &raw, &rest);
        if (code != SQLITE_OK) return error_of(code, state_->connection);
        if (raw == nullptr) continue;  // blanks or a comment
        Statement statement(raw);
        TRY(statement.run());
    }
    return ok();
}

std::int64_t Database::last_insert_rowid() const {
    return sqlite3_last_insert_rowid(state_->connection);
}

std::int64_t Database::changes() const {
    return sqlite3_changes64(state_->connection);
}

bool Database::in_transaction() const {
    return sqlite3_get_autocommit(state_->connection) == 0;
}

void Database::on_commit(std::function<void()> told) {
    state_->told = std::move(told);
}

void Database::on_work(std::function<bool()> go_on) {
    constexpr int steps_between_questions = 20'000;
    state_->go_on = std::move(go_on);
    const auto ask = [](void* state) { return static_cast<State*>(state)->go_on() ? 0 : 1; };
    if (state_->go_on) {
        sqlite3_progress_handler(state_->connection, steps_between_questions, ask, state_.get());
    } else {
        sqlite3_progress_handler(state_->connection, 0, nullptr, nullptr);
    }
}

const std::function<void()>& Database::told_of_commits() const {
    return state_->told;
}

sqlite3* Database::handle() const {
    return state_->connection;
}

Result<Database::Lease> Database::borrow(std::string_view sql) {
    const auto found = state_->idle.find(sql);
    if (found != state_->idle.end() && !found->second.empty()) {
        Statement statement = std::move(found->second.back());
        found->second.pop_back();
        --state_->idle_count;
        return Lease(*state_, std::string(sql), std::move(statement));
    }
    TRY(Statement statement, prepare_on(state_->connection, sql, SQLITE_PREPARE_PERSISTENT));
    return Lease(*state_, std::string(sql), std::move(statement));
}

Database::Lease::Lease(State& state, std::string sql, Statement statement)
    : state_(&state), sql_(std::move(sql)), statement_(std::move(statement)) {}

Database::Lease::Lease(Lease&& other) noexcept
    : state_(std::exchange(other.state_, nullptr)),
      sql_(std::move(other.sql_)),
      statement_(std::move(other.statement_)) {}

Database::Lease::~Lease() {
    if (state_ == nullptr) return;
    statement_.reset();
    if (state_->idle_count >= idle_statements_max) return;
    state_->idle[std::move(sql_)].push_back(std::move(statement_));
    ++state_->idle_count;
}

}  // namespace ladderline::store::sqlite
