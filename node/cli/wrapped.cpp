#include "node/cli/wrapped.hpp"

#include <algorithm>

namespace ladderline::node::cli {
namespace {

// Characters, as far as a screen counts them: bytes that do not continue another.
std::size_t width_of(std::string_view text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::size_t indent_of(std::string_view line, std::size_t columns) {
    const std::size_t start = std::min(line.find_first_not_of(' '), line.size());
    const std::size_t gap = line.find("  ", start);
    if (gap == std::string_view::npos) return start;
    const std::size_t second = line.find_first_not_of(' ', gap);
    if (second == std::string_view::npos) return start;
    const std::size_t column = width_of(line.substr(0, second));
    return column <= columns / 2 ? column : start;
}

void add_line(std::string& out, std::string_view line, std::size_t columns) {
    const std::size_t indent = indent_of(line, columns);
    std::size_t used = 0;
    for (std::size_t at = 0; at < line.size();) {
        const std::size_t blanks = std::min(line.find_first_not_of(' ', at), line.size()) - at;
        const std::size_t end = std::min(line.find(' ', at + blanks), line.size());
        const std::string_view word = line.substr(at + blanks, end - at - blanks);
        const std::size_t width = width_of(word);
        const bool begins = used <= indent;
        if (!begins && used + blanks + width > columns) {
            out += "\n" + std::string(indent, ' ');
            used = indent;
        } else {
            out.append(blanks, ' ');
            used += blanks;
        }
        out += word;
        used += width;
        at = end;
    }
}

}  // namespace

std::string wrapped(std::string_view text, std::size_t columns) {
    std::string out;
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string_view line = text.substr(at, end - at);
        if (width_of(line) <= columns) {
            out += line;
        } else {
            add_line(out, line, columns);
        }
        if (end < text.size()) out += '\n';
        at = end + 1;
    }
    return out;
}

}  // namespace ladderline::node::cli
