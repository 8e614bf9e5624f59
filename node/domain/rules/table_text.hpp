#pragma once
// Tab-separated text, one record a line: numbered lines and their fields as views into the text.

#include <string_view>
#include <vector>

namespace ladderline::domain {

struct NumberedLine {
    int number = 0;  // from 1
    std::string_view text;
};

// A last line without line feed counts; the empty piece after a last line feed does not.
inline std::vector<NumberedLine> numbered_lines(std::string_view text) {
    std::vector<NumberedLine> lines;
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        lines.push_back({static_cast<int>(lines.size()) + 1, text.substr(0, end)});
        text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
    }
    return lines;
}

inline std::vector<std::string_view> tab_fields(std::string_view line) {
    std::vector<std::string_view> fields;
    for (;;) {
        const std::size_t tab = line.find('\t');
        fields.push_back(line.substr(0, tab));
        if (tab == std::string_view::npos) return fields;
        line = line.substr(tab + 1);
    }
}

}  // namespace ladderline::domain
