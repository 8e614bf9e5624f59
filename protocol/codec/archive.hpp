#pragma once
// The one wire encoding: strict cereal archives. A type declares a single
//     template <class Archive> void serialize(Archive& ar) { ar(a, b, bounded<64>(c)); }
// and gets exactly one byte string per value: decode-then-encode gives the same bytes.
//
//   unsigned integers   shortest base-128, low group first, high bit = more follows; u8 is one plain byte
//   signed integers     zigzag, then as unsigned
//   bool, optional      one byte 0 or 1, then the value
//   enum                its number as an unsigned integer in the shortest form; must satisfy is_known(value), found by
//                       its namespace
//   text, Bytes         length, then the bytes; text is well-formed UTF-8
//   FixedBytes<N>       N bytes
//   WallTime, Day       as signed; within the years 0001 to 9999, so that arithmetic on them never overflows
//   vector<T>           count, then the elements
// A length or count is compared with the bytes that remain before anything is allocated. Trailing bytes are an error.
// Pointers, maps, polymorphism and cereal's class versions do not compile.

#include <cereal/cereal.hpp>
#include <optional>
#include <string>
#include <type_traits>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::protocol::codec {

// Thrown inside decode() only; never leaves this library.
struct DecodeFailure {
    const char* what;
};

class Writer : public cereal::OutputArchive<Writer, 0> {
public:
    Writer() : OutputArchive(this) {}
    void put(std::uint8_t byte) { out_.push_back(byte); }
    void put(ByteView bytes) { out_.insert(out_.end(), bytes.begin(), bytes.end()); }
    void put_varint(std::uint64_t value);
    Bytes take() { return std::move(out_); }

private:
    Bytes out_;
};

class Reader : public cereal::InputArchive<Reader, 0> {
public:
    explicit Reader(ByteView in) : InputArchive(this), in_(in) {}
    std::uint8_t get();
    ByteView get(std::size_t size);
    std::uint64_t get_varint();
    // A length or count of things that take at least one byte each.
    std::size_t get_length();
    // The same, left where it stands.
    std::size_t peek_length();
    std::size_t remaining() const { return in_.size(); }
    void expect_end() const;

private:
    ByteView in_;  // lives only within one decode() call
};

// A text, Bytes or vector that holds at most Max elements (bytes for text).
template <std::size_t Max, class T>
struct Bounded {
    T& value;
};
template <std::size_t Max, class T>
Bounded<Max, T> bounded(T& value) {
    return {value};
}

template <class T>
concept PlainUnsigned = std::is_unsigned_v<T> && !std::is_same_v<T, bool> && !std::is_same_v<T, std::uint8_t>;
template <class T>
concept PlainSigned = std::is_integral_v<T> && std::is_signed_v<T>;
template <class T>
concept PlainEnum = std::is_enum_v<T>;

inline void save(Writer& ar, const std::uint8_t& v) {
    ar.put(v);
}
inline void load(Reader& ar, std::uint8_t& v) {
    v = ar.get();
}
inline void save(Writer& ar, const bool& v) {
    ar.put(static_cast<std::uint8_t>(v));
}
void load(Reader& ar, bool& v);

template <PlainUnsigned T>
void save(Writer& ar, const T& v) {
    ar.put_varint(v);
}
template <PlainUnsigned T>
void load(Reader& ar, T& v) {
    const std::uint64_t raw = ar.get_varint();
    v = static_cast<T>(raw);
    if (v != raw) throw DecodeFailure{"a number is out of range"};
}

template <PlainSigned T>
void save(Writer& ar, const T& v) {
    const auto wide = static_cast<std::int64_t>(v);
    ar.put_varint((static_cast<std::uint64_t>(wide) << 1) ^ static_cast<std::uint64_t>(wide >> 63));
}
template <PlainSigned T>
void load(Reader& ar, T& v) {
    const std::uint64_t raw = ar.get_varint();
    const auto wide = static_cast<std::int64_t>((raw >> 1) ^ (~(raw & 1) + 1));
    v = static_cast<T>(wide);
    if (v != wide) throw DecodeFailure{"a number is out of range"};
}

template <PlainEnum T>
void save(Writer& ar, const T& v) {
    ar.put_varint(static_cast<std::underlying_type_t<T>>(v));
}
template <PlainEnum T>
void load(Reader& ar, T& v) {
    using Raw = std::underlying_type_t<T>;
    static_assert(std::is_unsigned_v<Raw>);
    const std::uint64_t raw = ar.get_varint();
    v = static_cast<T>(static_cast<Raw>(raw));
    if (static_cast<Raw>(raw) != raw || !is_known(v)) throw DecodeFailure{"an unknown choice"};
}

template <class Tag, std::size_t N>
void save(Writer& ar, const FixedBytes<Tag, N>& v) {
    ar.put(v.view());
}
template <class Tag, std::size_t N>
void load(Reader& ar, FixedBytes<Tag, N>& v) {
    v = FixedBytes<Tag, N>::from(ar.get(N));
}

void save(Writer& ar, const std::string& v);
void load(Reader& ar, std::string& v);
void save(Writer& ar, const Bytes& v);
void load(Reader& ar, Bytes& v);

inline void save(Writer& ar, const WallTime& v) {
    save(ar, v.ms);
}
void load(Reader& ar, WallTime& v);
inline void save(Writer& ar, const Day& v) {
    save(ar, v.number);
}
void load(Reader& ar, Day& v);

template <class T>
void save(Writer& ar, const std::optional<T>& v) {
    ar.put(static_cast<std::uint8_t>(v.has_value()));
    if (v) ar(*v);
}
template <class T>
void load(Reader& ar, std::optional<T>& v) {
    bool present = false;
    load(ar, present);
    v.reset();
    if (present) ar(v.emplace());
}

template <class T>
requires(!std::is_same_v<T, std::uint8_t>) void save(Writer& ar, const std::vector<T>& v) {
    ar.put_varint(v.size());
    for (const T& element : v) ar(element);
}
template <class T>
requires(!std::is_same_v<T, std::uint8_t>) void load(Reader& ar, std::vector<T>& v) {
    const std::size_t count = ar.get_length();
    v.clear();
    for (std::size_t i = 0; i < count; ++i) ar(v.emplace_back());
}

template <std::size_t Max, class T>
void save(Writer& ar, const Bounded<Max, T>& v) {
    ENSURE(v.value.size() <= Max);
    ar(v.value);
}
// The bound is checked before the elements are: a long count costs nothing.
template <std::size_t Max, class T>
void load(Reader& ar, Bounded<Max, T>& v) {
    if (ar.peek_length() > Max) throw DecodeFailure{"a list or text is too long"};
    ar(v.value);
}

template <class T>
Bytes encode(const T& value) {
    Writer ar;
    ar(value);
    return ar.take();
}

// Fault::peer with a reason for the log; the value is whole or not there at all.
template <class T>
Result<T> decode(ByteView bytes) {
    try {
        Reader ar(bytes);
        T value{};
        ar(value);
        ar.expect_end();
        return value;
    } catch (const DecodeFailure& failure) {
        return Error{Fault::peer, std::string("Bytes that cannot be read: ") + failure.what + "."};
    }
}

}  // namespace ladderline::protocol::codec

CEREAL_SETUP_ARCHIVE_TRAITS(ladderline::protocol::codec::Reader, ladderline::protocol::codec::Writer)

namespace cereal {
// cereal would carry enums over unchecked; ours are checked by is_known().
template <ladderline::protocol::codec::PlainEnum T>
struct specialize<ladderline::protocol::codec::Writer, T, specialization::non_member_load_save> : std::true_type {};
template <ladderline::protocol::codec::PlainEnum T>
struct specialize<ladderline::protocol::codec::Reader, T, specialization::non_member_load_save> : std::true_type {};
}  // namespace cereal
