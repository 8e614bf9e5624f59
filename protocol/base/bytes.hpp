#pragma once
// Bytes and fixed-size identifiers. Views go in, values come out; a view is never a member.

#include <algorithm>
#include <array>
#include <compare>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/ensure.hpp"
#include "protocol/base/result.hpp"

namespace ladderline {

using Bytes = std::vector<std::uint8_t>;
using ByteView = std::span<const std::uint8_t>;
using MutableByteView = std::span<std::uint8_t>;

inline ByteView as_bytes(std::string_view text) {
    return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

inline std::string_view as_text(ByteView bytes) {
    return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

inline Bytes to_bytes(ByteView view) {
    return {view.begin(), view.end()};
}

// N public bytes with a meaning of their own; two tags never convert into one another.
// Not for secrets: see protocol/crypto/secret.hpp.
template <class Tag, std::size_t N>
struct FixedBytes {
    static constexpr std::size_t size = N;
    std::array<std::uint8_t, N> data{};

    ByteView view() const { return data; }
    MutableByteView mutable_view() { return data; }
    auto operator<=>(const FixedBytes&) const = default;

    bool is_zero() const {
        return std::all_of(data.begin(), data.end(), [](std::uint8_t b) { return b == 0; });
    }

    // Precondition: bytes.size() == N.
    static FixedBytes from(ByteView bytes) {
        ENSURE(bytes.size() == N);
        FixedBytes out;
        std::copy(bytes.begin(), bytes.end(), out.data.begin());
        return out;
    }
};

// Lower-case hexadecimal, two characters a byte.
std::string to_hex(ByteView bytes);
// Either case; an odd length or any other character is bad_input.
Result<Bytes> from_hex(std::string_view text);

// Crockford's base 32 (no I, L, O, U), upper case, no padding; the last character carries the spare bits as zeros.
std::string to_base32(ByteView bytes);
// Forgiving reader: either case, I and L read as 1, O as 0, blanks and hyphens skipped. Spare bits must be zero.
Result<Bytes> from_base32(std::string_view text);

// True if `text` is well-formed UTF-8 (Unicode 15, table 3-7: no overlong forms, no surrogates).
bool is_utf8(std::string_view text);

}  // namespace ladderline
