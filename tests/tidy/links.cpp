// A link of a paper leads to a file of the tree, and to a heading that is there.

#include <algorithm>
#include <cctype>

#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {
namespace {

// Inline code shows brackets that are no links.
std::string without_code(std::string_view line) {
    std::string out;
    bool code = false;
    for (const char c : line) {
        if (c == '`') code = !code;
        out += code ? ' ' : c;
    }
    return out;
}

// "A session of twenty minutes" is reached as #a-session-of-twenty-minutes.
std::string anchor_of(std::string_view heading) {
    std::string out;
    for (const char c : trimmed(heading)) {
        const auto byte = static_cast<unsigned char>(c);
        if (std::isalnum(byte) != 0 || c == '-' || c == '_') out += static_cast<char>(std::tolower(byte));
        if (c == ' ') out += '-';
    }
    return out;
}

template <class Visit>
void each_text_line(const Source& source, Visit visit) {
    bool fenced = false;
    for (std::size_t number = 1; number <= source.line_count(); ++number) {
        const std::string_view line = source.line(number);
        if (line.starts_with("```")) {
            fenced = !fenced;
        } else if (!fenced) {
            visit(number, line);
        }
    }
}

bool has_anchor(const Source& paper, std::string_view anchor) {
    bool found = false;
    each_text_line(paper, [&](std::size_t, std::string_view line) {
        if (!line.starts_with('#')) return;
        const std::size_t text = line.find_first_not_of('#');
        if (text != std::string_view::npos && anchor_of(line.substr(text)) == anchor) found = true;
    });
    return found;
}

// "a/b/../c" is "a/c".
std::string joined(std::string_view folder, std::string_view target) {
    std::vector<std::string_view> parts;
    const std::string whole = std::string(folder) + "/" + std::string(target);
    for (std::size_t start = 0; start <= whole.size();) {
        const std::size_t end = std::min(whole.find('/', start), whole.size());
        const std::string_view part = std::string_view(whole).substr(start, end - start);
        if (part == ".." && !parts.empty()) {
            parts.pop_back();
        } else if (!part.empty() && part != "." && part != "..") {
            parts.push_back(part);
        }
        start = end + 1;
    }
    std::string out;
    for (const std::string_view part : parts) out += (out.empty() ? "" : "/") + std::string(part);
    return out;
}

bool is_in_tree(const Tree& tree, const std::string& path) {
    if (tree.paths.contains(path)) return true;
    const auto after = tree.paths.lower_bound(path + "/");
    return after != tree.paths.end() && after->starts_with(path + "/");
}

// Why the link leads nowhere, or nothing.
std::string trouble_of(const Tree& tree, const Source& source, std::string_view link) {
    if (link.find(':') != std::string_view::npos) return {};  // another place in the world
    const std::size_t hash = std::min(link.find('#'), link.size());
    const std::string folder = source.path.substr(0, std::min(source.path.rfind('/'), source.path.size()));
    const std::string below = source.path.find('/') == std::string::npos ? "" : folder;
    const std::string path = hash == 0 ? source.path : joined(below, link.substr(0, hash));
    if (!is_in_tree(tree, path)) return "there is no " + path + " in the tree.";
    if (hash == link.size()) return {};
    const std::string anchor(link.substr(hash + 1));
    for (const Source& target : tree.sources) {
        if (target.path == path && !has_anchor(target, anchor)) return path + " has no heading for #" + anchor + ".";
    }
    return {};
}

}  // namespace

void check_links(const Tree& tree, Findings& out) {
    for (const Source& source : tree.sources) {
        if (!source.ends_with(".md")) continue;
        each_text_line(source, [&](std::size_t number, std::string_view raw) {
            const std::string line = without_code(raw);
            for (std::size_t at = line.find("]("); at != std::string::npos; at = line.find("](", at + 1)) {
                const std::size_t close = line.find_first_of(") ", at + 2);
                if (close == std::string::npos) continue;
                const std::string trouble =
                    trouble_of(tree, source, std::string_view(line).substr(at + 2, close - at - 2));
                if (!trouble.empty()) out.push_back({source.path, number, "link", trouble});
            }
        });
    }
}

}  // namespace ladderline::tidy
