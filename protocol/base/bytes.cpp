#include "protocol/base/bytes.hpp"

namespace ladderline {
namespace {

constexpr std::string_view hex_digits = "0123456789abcdef";
constexpr std::string_view base32_digits = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";

int hex_value(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

int base32_value(char c) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    if (c == 'I' || c == 'L') c = '1';
    if (c == 'O') c = '0';
    const auto at = base32_digits.find(c);
    return at == std::string_view::npos ? -1 : static_cast<int>(at);
}

// Length of the well-formed UTF-8 sequence at the start of `s`, 0 if there is none.
std::size_t utf8_sequence(std::string_view s) {
    const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(s[i]); };
    const auto continues = [&](std::size_t i, std::uint8_t low, std::uint8_t high) {
        return i < s.size() && byte(i) >= low && byte(i) <= high;
    };
    const std::uint8_t first = byte(0);
    if (first < 0x80) return 1;
    if (first >= 0xC2 && first <= 0xDF) return continues(1, 0x80, 0xBF) ? 2 : 0;
    if (first >= 0xE0 && first <= 0xEF) {
        const std::uint8_t low = first == 0xE0 ? 0xA0 : 0x80;
        const std::uint8_t high = first == 0xED ? 0x9F : 0xBF;
        return continues(1, low, high) && continues(2, 0x80, 0xBF) ? 3 : 0;
    }
    if (first >= 0xF0 && first <= 0xF4) {
        const std::uint8_t low = first == 0xF0 ? 0x90 : 0x80;
        const std::uint8_t high = first == 0xF4 ? 0x8F : 0xBF;
        return continues(1, low, high) && continues(2, 0x80, 0xBF) && continues(3, 0x80, 0xBF) ? 4 : 0;
    }
    return 0;
}

}  // namespace

std::string to_hex(ByteView bytes) {
    std::string out;
    out.reserve(bytes.size() * 2);
    for (const std::uint8_t b : bytes) {
        out += hex_digits[b >> 4];
        out += hex_digits[b & 15];
    }
    return out;
}

Result<Bytes> from_hex(std::string_view text) {
    if (text.size() % 2 != 0) return Error{Fault::bad_input, "A hexadecimal text needs an even number of digits."};
    Bytes out;
    out.reserve(text.size() / 2);
    for (std::size_t i = 0; i < text.size(); i += 2) {
        const int high = hex_value(text[i]);
        const int low = hex_value(text[i + 1]);
        if (high < 0 || low < 0)
            return Error{Fault::bad_input, "A hexadecimal text holds a character that is no digit."};
        out.push_back(static_cast<std::uint8_t>(high * 16 + low));
    }
    return out;
}

std::string to_base32(ByteView bytes) {
    std::string out;
    std::uint32_t pending = 0;
    int bits = 0;
    for (const std::uint8_t b : bytes) {
        pending = (pending << 8) | b;
        for (bits += 8; bits >= 5; bits -= 5) out += base32_digits[(pending >> (bits - 5)) & 31];
        pending &= (1U << bits) - 1;
    }
    if (bits > 0) out += base32_digits[(pending << (5 - bits)) & 31];
    return out;
}

Result<Bytes> from_base32(std::string_view text) {
    Bytes out;
    std::uint32_t pending = 0;
    int bits = 0;
    for (const char c : text) {
        if (c == '-' || c == ' ') continue;
        const int value = base32_value(c);
        if (value < 0)
            return Error{Fault::bad_input, std::string("The code holds the character '") + c + "', which no code has."};
        pending = (pending << 5) | static_cast<std::uint32_t>(value);
        bits += 5;
        if (bits >= 8) {
            bits -= 8;
            out.push_back(static_cast<std::uint8_t>(pending >> bits));
        }
        pending &= (1U << bits) - 1;
    }
    if (bits >= 5 || pending != 0)
        return Error{Fault::bad_input, "The code ends in the wrong place; a character is missing or mistyped."};
    return out;
}

bool is_utf8(std::string_view text) {
    while (!text.empty()) {
        const std::size_t n = utf8_sequence(text);
        if (n == 0) return false;
        text.remove_prefix(n);
    }
    return true;
}

}  // namespace ladderline
