#pragma once
// A prepared statement, the values that can be bound to it, and the row it stands on.

#include <concepts>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>

#include "protocol/base/bytes.hpp"
#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

struct sqlite3_stmt;

namespace ladderline::store::sqlite {

// Reads the columns (0-based) of the row a statement stands on; valid until the statement is stepped or reset, so it
// is passed down and never kept. A column of another type is converted by SQLite's rules; NULL reads as 0 or empty.
class Row {
public:
    explicit Row(sqlite3_stmt* statement) : statement_(statement) {}

    std::int64_t integer(int column) const;
    double real(int column) const;
    std::string text(int column) const;
    Bytes blob(int column) const;
    bool is_null(int column) const;
    int column_count() const;

    // A FixedBytes. A stored value of another length (a damaged store, never a bug of ours, because the tables CHECK
    // the length) or NULL reads as all zeros, which is no valid id; test is_zero() where it matters.
    template <class Fixed>
    Fixed fixed(int column) const {
        Fixed out;
        copy_exactly(column, out.mutable_view());
        return out;
    }

private:
    void copy_exactly(int column, MutableByteView out) const;

    sqlite3_stmt* statement_;
};

namespace detail {

template <class T>
struct IsFixedBytes : std::false_type {};
template <class Tag, std::size_t N>
struct IsFixedBytes<FixedBytes<Tag, N>> : std::true_type {};

template <class T>
struct IsOptional : std::false_type {};
template <class T>
struct IsOptional<std::optional<T>> : std::true_type {};

}  // namespace detail

// Move-only. Must not outlive its Database (which ends the process if one does).
// Bound values are copied, so they need not outlive the call.
class Statement {
public:
    explicit Statement(sqlite3_stmt* statement) : statement_(statement) {}

    // Binds all parameters in order, the first value to parameter 1; a different count is a bug of ours.
    // Bindable: integers and enums (INTEGER), bool (0 or 1), double (REAL), strings (TEXT), Bytes, ByteView and
    // FixedBytes (BLOB), WallTime (milliseconds), Day (number), std::nullopt and std::optional of any of these. Secrets
    // are not. bad_input: an unsigned number above 2^63 - 1.
    template <class... A>
    Result<void> bind(const A&... values) {
        check_parameter_count(static_cast<int>(sizeof...(A)));
        [[maybe_unused]] int index = 0;
        std::optional<Error> failed;
        (void)((bind_kept(++index, values, failed)) && ...);
        if (failed) return std::move(*failed);
        return ok();
    }

    // True: row() may be read. False: done, and reset() has been called.
    Result<bool> step();
    Row row() const { return Row(statement_.get()); }
    // Ends the iteration and forgets the bound values.
    void reset();

    // For a statement without parameters whose failure changes nothing for the caller. Takes no memory of ours.
    void run_unheard() noexcept;

    // Binds, steps to the end, resets. Rows are discarded.
    template <class... A>
    Result<void> run(const A&... values) {
        TRY(bind(values...));
        return run_bound();
    }

    // Binds and calls on_row(const Row&) for every row. on_row returns void, or Result<void> to stop at its error.
    template <class Fn, class... A>
    Result<void> query(Fn&& on_row, const A&... values) {
        TRY(bind(values...));
        for (;;) {
            TRY(const bool has_row, step());
            if (!has_row) return ok();
            if constexpr (std::is_void_v<std::invoke_result_t<Fn&, const Row&>>) {
                on_row(row());
            } else {
                Result<void> outcome = on_row(row());
                if (!outcome) {
                    reset();
                    return outcome;
                }
            }
        }
    }

private:
    struct Finalize {
        void operator()(sqlite3_stmt* statement) const;
    };

    void check_parameter_count(int given) const;
    Result<void> run_bound();

    Result<void> bind_integer(int index, std::int64_t value);
    Result<void> bind_real(int index, double value);
    Result<void> bind_text(int index, std::string_view value);
    Result<void> bind_blob(int index, ByteView value);
    Result<void> bind_null(int index);

    template <class T>
    bool bind_kept(int index, const T& value, std::optional<Error>& failed) {
        Result<void> outcome = bind_value(index, value);
        if (outcome) return true;
        failed.emplace(std::move(outcome).error());
        return false;
    }

    template <class T>
    Result<void> bind_value(int index, const T& value) {
        if constexpr (detail::IsOptional<T>::value) {
            if (!value) return bind_null(index);
            return bind_value(index, *value);
        } else if constexpr (std::is_same_v<T, std::nullopt_t>) {
            return bind_null(index);
        } else if constexpr (std::is_same_v<T, bool>) {
            return bind_integer(index, value ? 1 : 0);
        } else if constexpr (std::is_enum_v<T>) {
            return bind_value(index, static_cast<std::underlying_type_t<T>>(value));
        } else if constexpr (std::is_integral_v<T>) {
            if (!std::in_range<std::int64_t>(value)) {
                return Error{Fault::bad_input, "A number is too large to be stored; nothing was stored."};
            }
            return bind_integer(index, static_cast<std::int64_t>(value));
        } else if constexpr (std::is_floating_point_v<T>) {
            return bind_real(index, static_cast<double>(value));
        } else if constexpr (std::is_same_v<T, WallTime>) {
            return bind_integer(index, value.ms);
        } else if constexpr (std::is_same_v<T, Day>) {
            return bind_integer(index, value.number);
        } else if constexpr (detail::IsFixedBytes<T>::value) {
            return bind_blob(index, value.view());
        } else if constexpr (std::is_convertible_v<const T&, std::string_view>) {
            return bind_text(index, value);
        } else {
            static_assert(std::is_convertible_v<const T&, ByteView>, "This type cannot be bound to a statement.");
            return bind_blob(index, value);
        }
    }

    std::unique_ptr<sqlite3_stmt, Finalize> statement_;
};

}  // namespace ladderline::store::sqlite
