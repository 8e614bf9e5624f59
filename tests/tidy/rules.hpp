#pragma once
// The rules of the house. Each reads the whole tree and adds what it finds.

#include <array>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/tidy/source.hpp"

namespace ladderline::tidy {

struct Finding {
    std::string path;
    std::size_t line;  // 1 when it is about the file as a whole
    std::string rule;
    std::string sentence;
};

struct Tree {
    std::vector<Source> sources;                 // text files only, in path order
    std::set<std::string> paths;                 // every file, also the binary ones
    std::set<std::string> folders;               // below tests/fuzz: every folder, also an empty one
    std::vector<std::string> words;              // tests/tidy/words.txt
    std::optional<std::set<std::string>> built;  // sources that some target builds; absent = not known
    bool whole = true;                           // false: a sample, of which no complete top level is asked
};

using Findings = std::vector<Finding>;

void check_arrows(const Tree& tree, Findings& out);        // arrow
void check_clocks(const Tree& tree, Findings& out);        // clock
void check_sizes(const Tree& tree, Findings& out);         // function_length, file_length, line_width
void check_text(const Tree& tree, Findings& out);          // tab, trailing_blank, final_newline
void check_names(const Tree& tree, Findings& out);         // pragma_once, file_name, top_level
void check_coroutines(const Tree& tree, Findings& out);    // co_await_choice, co_await_braces, detached
void check_tests(const Tree& tree, Findings& out);         // unbuilt_test, empty_corpus, checkless_test, sleep
void check_independence(const Tree& tree, Findings& out);  // word, call_sign
void check_links(const Tree& tree, Findings& out);         // link

// Every rule name; the self test wants a bad sample for each.
inline constexpr std::array<std::string_view, 21> rule_names{
    "arrow",        "clock",           "function_length", "file_length", "line_width",
    "tab",          "trailing_blank",  "final_newline",   "pragma_once", "file_name",
    "top_level",    "co_await_choice", "co_await_braces", "detached",    "unbuilt_test",
    "empty_corpus", "checkless_test",  "sleep",           "word",        "call_sign",
    "link",
};

Findings check(const Tree& tree);

// The tree below `root`: what git knows or would add, or without git all but build folders.
Tree read_tree(const std::string& root);
// Paths below `root` that a compile_commands.json names; absent when it cannot be read.
std::optional<std::set<std::string>> read_built(const std::string& file, const std::string& root);
std::vector<std::string> read_words(const std::string& root);
std::string read_file(const std::string& path);

// Every rule fires on its sample, at exactly the lines the sample says, and on nothing else. Returns the exit code.
int self_test(const std::string& root);

}  // namespace ladderline::tidy
