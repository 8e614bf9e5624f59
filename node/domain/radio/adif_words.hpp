#pragma once
// How sentences about a log quote what stands in it; used by the reader alone.

#include <string>
#include <string_view>

namespace ladderline::domain {

// In single quotes, on one line, cut after some 40 bytes between two characters.
inline std::string quoted_start(std::string_view text) {
    constexpr std::size_t bytes_max = 40;
    std::size_t size = text.size();
    if (size > bytes_max) {
        size = bytes_max;
        while (size > 0 && (static_cast<unsigned char>(text[size]) & 0xC0) == 0x80) --size;
    }
    std::string out = "'";
    for (const char c : text.substr(0, size)) out += static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? ' ' : c;
    return out + (size < text.size() ? "...'" : "'");
}

}  // namespace ladderline::domain
