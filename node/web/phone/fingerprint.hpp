#pragma once
// How a certificate's fingerprint is shown, so that two screens can be compared.

#include <algorithm>
#include <string>
#include <vector>

namespace ladderline::node::web {

// "3F:0A:..." in rows of eight pairs, as most browsers break it: "3F 0A 11 22 33 44 55 66".
inline std::vector<std::string> fingerprint_rows(const std::string& fingerprint) {
    constexpr std::size_t row_chars = 8 * 3;
    std::vector<std::string> out;
    for (std::size_t at = 0; at < fingerprint.size(); at += row_chars) {
        std::string row = fingerprint.substr(at, row_chars - 1);
        std::replace(row.begin(), row.end(), ':', ' ');
        out.push_back(std::move(row));
    }
    return out;
}

}  // namespace ladderline::node::web
