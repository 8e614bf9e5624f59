#include "protocol/base/comma_list.hpp"

#include <algorithm>

namespace ladderline {

std::string joined(const std::vector<std::string>& words) {
    std::string out;
    for (const std::string& word : words) out += (out.empty() ? "" : ", ") + word;
    return out;
}

std::vector<std::string> parted(std::string_view text) {
    constexpr std::string_view blanks = " \t\r\n";
    std::vector<std::string> out;
    while (!text.empty()) {
        const std::size_t comma = std::min(text.find(','), text.size());
        const std::string_view one = text.substr(0, comma);
        text.remove_prefix(std::min(comma + 1, text.size()));
        const std::size_t from = one.find_first_not_of(blanks);
        if (from == std::string_view::npos) continue;
        out.emplace_back(one.substr(from, one.find_last_not_of(blanks) + 1 - from));
    }
    return out;
}

}  // namespace ladderline
