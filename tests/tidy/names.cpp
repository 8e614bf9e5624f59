// What files are called, what every header says first, and what stands at the top of the tree.

#include <algorithm>

#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {
namespace {

bool is_snake_case(std::string_view name) {
    return std::all_of(name.begin(), name.end(),
                       [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_' || c == '.'; });
}

// README.md, WIRE.md: papers are in capitals.
bool is_paper(std::string_view name) {
    if (!name.ends_with(".md")) return false;
    name.remove_suffix(3);
    return std::all_of(name.begin(), name.end(), [](char c) { return (c >= 'A' && c <= 'Z') || c == '_'; });
}

bool has_good_name(std::string_view path) {
    const std::size_t slash = path.rfind('/');
    const std::string_view name = slash == std::string_view::npos ? path : path.substr(slash + 1);
    const std::string folders(slash == std::string_view::npos ? "" : path.substr(0, slash));
    std::string letters = folders;
    std::erase(letters, '/');
    if (!is_snake_case(letters)) return false;
    return name == "CMakeLists.txt" || name == "package-lock.json" || name.starts_with('.') || is_paper(name) || is_snake_case(name);
}

// Inputs kept for a fuzzer are named by their hash or by the bug.
bool is_corpus(std::string_view path) {
    return path.starts_with("tests/fuzz/") && path.find('/', std::string_view("tests/fuzz/").size()) != path.npos;
}

void check_top_level(const Tree& tree, Findings& out) {
    std::set<std::string> missing{"CMakeLists.txt", "README.md", "DEVELOPERS.md", "node",
                                  "store",          "protocol",  "tests",         "samples"};
    const std::set<std::string> known = missing;
    std::set<std::string> said;
    for (const std::string& path : tree.paths) {
        const std::string top = path.substr(0, path.find('/'));
        missing.erase(top);
        if (top.starts_with('.') || known.contains(top) || !said.insert(top).second) continue;
        out.push_back({path, 1, "top_level", top + " does not belong at the top of the tree."});
    }
    if (!tree.whole) return;
    for (const std::string& name : missing) out.push_back({name, 1, "top_level", name + " is missing."});
}

}  // namespace

void check_names(const Tree& tree, Findings& out) {
    for (const std::string& path : tree.paths) {
        if (is_corpus(path) || has_good_name(path)) continue;
        out.push_back({path, 1, "file_name", "files and folders are named in snake_case."});
    }
    for (const Source& source : tree.sources) {
        if (!source.is_header() || find_word(source.code, "#pragma once") != std::string::npos) continue;
        out.push_back({source.path, 1, "pragma_once", "the header lacks #pragma once."});
    }
    check_top_level(tree, out);
}

}  // namespace ladderline::tidy
