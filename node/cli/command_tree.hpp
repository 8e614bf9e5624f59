#pragma once
// The commands as a plain tree, and what is made of it: the manual page and the completion of the shell. Both follow
// from the parser's own words, so that neither can tell of another program than this one.

#include <string>
#include <string_view>
#include <vector>

namespace CLI {
class App;
}

namespace ladderline::node::cli {

struct OptionText {
    std::string name;   // "--json"; of a word that stands by its place: "who"
    std::string value;  // what it takes, as "TEXT"; empty for a flag
    std::string says;
    bool by_place = false;
    bool required = false;
};

struct CommandText {
    std::string name;  // "courier begin"; empty for the program as a whole
    std::string says;
    std::string footer;
    std::vector<OptionText> options;    // without --help, which every command has
    std::vector<CommandText> commands;  // in the order of the help
};

// What is hidden from the help is left out.
CommandText command_tree(const CLI::App& app);
// The same of the parser that a command line meets.
CommandText command_tree();

// For man(1), in the man macros; no date in it, so that the same program gives the same page.
std::string manual_page(const CommandText& program, std::string_view version);

// A script for bash. It knows commands and options by itself and offers files for everything else.
std::string bash_completion(const CommandText& program);

}  // namespace ladderline::node::cli
