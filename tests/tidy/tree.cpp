#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "tests/tidy/rules.hpp"

namespace fs = std::filesystem;

namespace ladderline::tidy {
namespace {

constexpr std::string_view samples_folder = "tests/tidy/bad/";

// Inputs of the fuzzers are bytes, whatever they look like.
bool is_input(std::string_view path) {
    return path.starts_with("tests/fuzz/corpus/") || path.starts_with("tests/fuzz/crashers/");
}

std::string shell_quoted(std::string_view text) {
    std::string out = "'";
    for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return out + "'";
}

// Committed files and files that would be; empty when git is not there or does not know the folder.
std::set<std::string> paths_by_git(const std::string& root) {
    const std::string command =
        "git -C " + shell_quoted(root) + " ls-files -z --cached --others --exclude-standard 2>/dev/null";
    std::string listing;
    FILE* pipe = popen(command.c_str(), "r");
    if (!pipe) return {};
    std::array<char, 4096> buffer;
    for (std::size_t n = 0; (n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
        listing.append(buffer.data(), n);
    }
    if (pclose(pipe) != 0) return {};
    std::set<std::string> paths;
    for (std::size_t start = 0; start < listing.size();) {
        const std::size_t end = listing.find('\0', start);
        const std::string path = listing.substr(start, end - start);
        if (fs::is_regular_file(fs::path(root) / path)) paths.insert(path);
        start = end + 1;
    }
    return paths;
}

std::set<std::string> paths_by_walk(const std::string& root) {
    std::set<std::string> paths;
    for (auto it = fs::recursive_directory_iterator(root); it != fs::recursive_directory_iterator(); ++it) {
        const std::string path = fs::relative(it->path(), root).generic_string();
        const bool skipped = it.depth() == 0 && (path.starts_with("build") || path == ".git");
        if (skipped && it->is_directory()) it.disable_recursion_pending();
        if (it->is_regular_file()) paths.insert(path);
    }
    return paths;
}

std::set<std::string> folders_below_fuzz(const std::string& root) {
    std::set<std::string> folders;
    const fs::path fuzz = fs::path(root) / "tests/fuzz";
    if (!fs::is_directory(fuzz)) return folders;
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(fuzz)) {
        if (entry.is_directory()) folders.insert(fs::relative(entry.path(), root).generic_string());
    }
    return folders;
}

}  // namespace

std::string read_file(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

std::vector<std::string> read_words(const std::string& root) {
    std::vector<std::string> words;
    std::istringstream in(read_file(root + "/tests/tidy/words.txt"));
    for (std::string line; std::getline(in, line);) {
        if (!line.empty()) words.push_back(line);
    }
    return words;
}

std::optional<std::set<std::string>> read_built(const std::string& file, const std::string& root) {
    const std::string text = read_file(file);
    if (text.empty()) return std::nullopt;
    std::set<std::string> built;
    constexpr std::string_view key = "\"file\": \"";
    for (std::size_t at = text.find(key); at != std::string::npos; at = text.find(key, at + 1)) {
        const std::size_t start = at + key.size();
        const std::string path = text.substr(start, text.find('"', start) - start);
        built.insert(fs::relative(path, root).generic_string());
    }
    return built;
}

Tree read_tree(const std::string& root) {
    Tree tree;
    tree.paths = paths_by_git(root);
    if (tree.paths.empty()) tree.paths = paths_by_walk(root);
    std::erase_if(tree.paths, [](const std::string& path) { return path.starts_with(samples_folder); });
    tree.folders = folders_below_fuzz(root);
    tree.words = read_words(root);
    for (const std::string& path : tree.paths) {
        if (is_input(path)) continue;
        std::string text = read_file((fs::path(root) / path).string());
        const bool binary = text.find('\0') != std::string::npos;
        if (!binary) tree.sources.push_back(make_source(path, std::move(text)));
    }
    return tree;
}

Findings check(const Tree& tree) {
    Findings found;
    check_arrows(tree, found);
    check_clocks(tree, found);
    check_sizes(tree, found);
    check_text(tree, found);
    check_names(tree, found);
    check_coroutines(tree, found);
    check_tests(tree, found);
    check_independence(tree, found);
    check_links(tree, found);
    std::stable_sort(found.begin(), found.end(), [](const Finding& a, const Finding& b) {
        return std::tie(a.path, a.line, a.rule) < std::tie(b.path, b.line, b.rule);
    });
    return found;
}

}  // namespace ladderline::tidy
