#include "protocol/base/letters.hpp"

#include <algorithm>

namespace ladderline {

std::string lower(std::string_view text) {
    std::string out(text);
    std::ranges::transform(out, out.begin(),
                           [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return out;
}

std::string upper(std::string_view text) {
    std::string out(text);
    std::ranges::transform(out, out.begin(), [](char c) { return upper(c); });
    return out;
}

}  // namespace ladderline
