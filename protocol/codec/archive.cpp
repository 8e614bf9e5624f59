#include "protocol/codec/archive.hpp"

namespace ladderline::protocol::codec {
namespace {

constexpr std::int32_t first_day = -719'162;  // 0001-01-01, as base/time.hpp counts
constexpr std::int32_t last_day = 2'932'896;  // 9999-12-31

}  // namespace

void Writer::put_varint(std::uint64_t value) {
    while (value >= 0x80) {
        out_.push_back(static_cast<std::uint8_t>(value | 0x80));
        value >>= 7;
    }
    out_.push_back(static_cast<std::uint8_t>(value));
}

std::uint8_t Reader::get() {
    if (in_.empty()) throw DecodeFailure{"the end comes too early"};
    const std::uint8_t byte = in_.front();
    in_ = in_.subspan(1);
    return byte;
}

ByteView Reader::get(std::size_t size) {
    if (in_.size() < size) throw DecodeFailure{"the end comes too early"};
    const ByteView bytes = in_.first(size);
    in_ = in_.subspan(size);
    return bytes;
}

std::uint64_t Reader::get_varint() {
    std::uint64_t value = 0;
    for (int shift = 0; shift < 64; shift += 7) {
        const std::uint8_t byte = get();
        const std::uint64_t group = byte & 0x7F;
        if (shift == 63 && group > 1) break;
        value |= group << shift;
        if ((byte & 0x80) == 0) {
            if (byte == 0 && shift > 0) throw DecodeFailure{"a number is not in its shortest form"};
            return value;
        }
    }
    throw DecodeFailure{"a number is out of range"};
}

std::size_t Reader::get_length() {
    const std::uint64_t length = get_varint();
    if (length > in_.size()) throw DecodeFailure{"a length is larger than what follows"};
    return static_cast<std::size_t>(length);
}

std::size_t Reader::peek_length() {
    const ByteView here = in_;
    const std::size_t length = get_length();
    in_ = here;
    return length;
}

void Reader::expect_end() const {
    if (!in_.empty()) throw DecodeFailure{"bytes are left over"};
}

void load(Reader& ar, bool& v) {
    const std::uint8_t byte = ar.get();
    if (byte > 1) throw DecodeFailure{"a yes or no is neither"};
    v = byte == 1;
}

void save(Writer& ar, const std::string& v) {
    ar.put_varint(v.size());
    ar.put(as_bytes(v));
}

void load(Reader& ar, std::string& v) {
    const std::size_t length = ar.get_length();
    v = as_text(ar.get(length));
    if (!is_utf8(v)) throw DecodeFailure{"a text is not UTF-8"};
}

void load(Reader& ar, WallTime& v) {
    load(ar, v.ms);
    if (v < start_of(Day{first_day}) || v >= start_of(Day{last_day + 1})) {
        throw DecodeFailure{"a time is outside the years 1 to 9999"};
    }
}

void load(Reader& ar, Day& v) {
    load(ar, v.number);
    if (v.number < first_day || v.number > last_day) throw DecodeFailure{"a day is outside the years 1 to 9999"};
}

void save(Writer& ar, const Bytes& v) {
    ar.put_varint(v.size());
    ar.put(ByteView(v));
}

void load(Reader& ar, Bytes& v) {
    const std::size_t length = ar.get_length();
    v = to_bytes(ar.get(length));
}

}  // namespace ladderline::protocol::codec
