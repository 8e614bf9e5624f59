#include "store/sqlite/statement.hpp"

#include <sqlite3.h>

#include "store/sqlite/error.hpp"

namespace ladderline::store::sqlite {
namespace {

Result<void> checked(int code, sqlite3_stmt* statement) {
    if (code == SQLITE_OK) return ok();
    return error_of(code, sqlite3_db_handle(statement));
}

}  // namespace

std::int64_t Row::integer(int column) const {
    return sqlite3_column_int64(statement_, column);
}

double Row::real(int column) const {
    return sqlite3_column_double(statement_, column);
}

std::string Row::text(int column) const {
    const auto* data = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
    if (data == nullptr) return {};
    return {data, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}

Bytes Row::blob(int column) const {
    const auto* data = static_cast<const std::uint8_t*>(sqlite3_column_blob(statement_, column));
    if (data == nullptr) return {};
    return {data, data + sqlite3_column_bytes(statement_, column)};
}

bool Row::is_null(int column) const {
    return sqlite3_column_type(statement_, column) == SQLITE_NULL;
}

int Row::column_count() const {
    return sqlite3_column_count(statement_);
}

void Row::copy_exactly(int column, MutableByteView out) const {
    const auto* data = static_cast<const std::uint8_t*>(sqlite3_column_blob(statement_, column));
    if (data == nullptr || static_cast<std::size_t>(sqlite3_column_bytes(statement_, column)) != out.size()) return;
    std::copy_n(data, out.size(), out.begin());
}

void Statement::Finalize::operator()(sqlite3_stmt* statement) const {
    sqlite3_finalize(statement);
}

Result<bool> Statement::step() {
    const int code = sqlite3_step(statement_.get());
    if (code == SQLITE_ROW) return true;
    if (code == SQLITE_DONE) {
        reset();
        return false;
    }
    Error error = error_of(code, sqlite3_db_handle(statement_.get()));
    reset();
    return error;
}

void Statement::reset() {
    sqlite3_reset(statement_.get());
    sqlite3_clear_bindings(statement_.get());
}

void Statement::run_unheard() noexcept {
    while (sqlite3_step(statement_.get()) == SQLITE_ROW) {
    }
    reset();
}

void Statement::check_parameter_count(int given) const {
    ENSURE(sqlite3_bind_parameter_count(statement_.get()) == given);
}

Result<void> Statement::run_bound() {
    for (;;) {
        TRY(const bool has_row, step());
        if (!has_row) return ok();
    }
}

Result<void> Statement::bind_integer(int index, std::int64_t value) {
    return checked(sqlite3_bind_int64(statement_.get(), index, value), statement_.get());
}

Result<void> Statement::bind_real(int index, double value) {
    return checked(sqlite3_bind_double(statement_.get(), index, value), statement_.get());
}

Result<void> Statement::bind_text(int index, std::string_view value) {
    // A null pointer would bind NULL instead of the empty text.
    const char* data = value.empty() ? "" : value.data();
    return checked(sqlite3_bind_text64(statement_.get(), index, data, value.size(), SQLITE_TRANSIENT, SQLITE_UTF8),
                   statement_.get());
}

Result<void> Statement::bind_blob(int index, ByteView value) {
    if (value.empty()) return checked(sqlite3_bind_zeroblob(statement_.get(), index, 0), statement_.get());
    return checked(sqlite3_bind_blob64(statement_.get(), index, value.data(), value.size(), SQLITE_TRANSIENT),
                   statement_.get());
}

Result<void> Statement::bind_null(int index) {
    return checked(sqlite3_bind_null(statement_.get(), index), statement_.get());
}

}  // namespace ladderline::store::sqlite
