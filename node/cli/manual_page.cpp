// roff: a line that begins with '.' or ''' is a macro, '\' begins an escape, and a bare '-' may become a hyphen that
// nobody can copy into a terminal.

#include <array>

#include "node/cli/command_tree.hpp"

namespace ladderline::node::cli {
namespace {

std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '\\') {
            out += "\\e";
        } else if (c == '-') {
            out += "\\-";
        } else {
            out += c == '\n' ? ' ' : c;
        }
    }
    if (out.starts_with('.') || out.starts_with('\'')) out.insert(0, "\\&");
    return out;
}

std::string bold(std::string_view text) {
    return "\\fB" + escaped(text) + "\\fR";
}
std::string slanted(std::string_view text) {
    return "\\fI" + escaped(text) + "\\fR";
}

std::string sentence(std::string_view text) {
    std::string out = escaped(text);
    const bool is_open = !out.empty() && out.back() != '.' && out.back() != '?' && out.back() != ':';
    return is_open ? out + "." : out;
}

std::string usage(const CommandText& command) {
    std::string out = bold("ladderline " + command.name);
    for (const OptionText& option : command.options) {
        if (!option.by_place) continue;
        out += option.required ? " " + slanted(option.name) : " [" + slanted(option.name) + "]";
    }
    for (const OptionText& option : command.options) {
        if (option.by_place || !option.required) continue;
        out += " " + bold(option.name) + (option.value.empty() ? "" : " " + slanted(option.value));
    }
    const bool has_more = command.options.size() > 0;
    return out +
           (command.commands.empty() ? has_more ? " [" + slanted("options") + "]" : "" : " " + slanted("command"));
}

std::string option_lines(const OptionText& option) {
    std::string head = option.by_place ? slanted(option.name) : bold(option.name);
    if (!option.by_place && !option.value.empty()) head += " " + slanted(option.value);
    return ".TP\n" + head + "\n" + sentence(option.says) + "\n";
}

std::string command_lines(const CommandText& command) {
    std::string out =
        ".SS \"" + escaped(command.name) + "\"\n" + usage(command) + "\n.PP\n" + sentence(command.says) + "\n";
    for (const OptionText& option : command.options) out += option_lines(option);
    if (!command.footer.empty()) out += ".PP\n" + sentence(command.footer) + "\n";
    for (const CommandText& sub : command.commands) out += command_lines(sub);
    return out;
}

struct Entry {
    std::string_view name;
    std::string_view says;
};

constexpr std::array files{
    Entry{"$XDG_DATA_HOME/ladderline",
          "The store, where neither --home nor LADDERLINE_HOME names another folder. Without "
          "XDG_DATA_HOME it is ~/.local/share/ladderline"},
    Entry{"$XDG_CONFIG_HOME/ladderline/node.key",
          "The key file with which the user service starts a node by itself, if you "
          "made one there"},
    Entry{"/var/lib/ladderline-courier", "The store of a courier that runs as a service of the machine"},
};

constexpr std::array environment{
    Entry{"LADDERLINE_HOME", "Folder of the store"},
    Entry{"LADDERLINE_PASSPHRASE_FILE", "The passphrase is the first line of this file"},
    Entry{"LADDERLINE_PASSPHRASE_MEMORY_MIB",
          "What trying a new passphrase costs, 8 to 1024 MiB; by itself 256, and 64 on a "
          "machine with less than 2 GiB"},
    Entry{"XDG_DATA_HOME", "See FILES"},
};

constexpr std::array exit_codes{
    Entry{"0", "Done"},
    Entry{"2", "Something typed cannot be read or cannot be so"},
    Entry{"3", "Refused, by a gate or for want of a right"},
    Entry{"4", "Not found"},
    Entry{"5", "Wrong passphrase or key"},
    Entry{"6", "The store is damaged, or was made by a newer program"},
    Entry{"7", "Busy: a node runs on the store"},
    Entry{"8", "The disk did not take it"},
    Entry{"9", "The network or the other node"},
    Entry{"10", "Cancelled, or not yet"},
};

template <std::size_t count>
std::string entries(const char* head, const std::array<Entry, count>& all) {
    std::string out = std::string(".SH \"") + head + "\"\n";
    for (const Entry& entry : all) out += ".TP\n" + bold(entry.name) + "\n" + sentence(entry.says) + "\n";
    return out;
}

}  // namespace

std::string manual_page(const CommandText& program, std::string_view version) {
    std::string out =
        ".TH LADDERLINE 1 \"\" \"ladderline " + escaped(version) + "\" \"User Commands\"\n.SH NAME\n" +
        "ladderline \\- a newcomer's way to the first radio contacts, and the people who help\n" + ".SH SYNOPSIS\n" +
        bold("ladderline") + " [" + slanted("options") + "] " + slanted("command") + " [" + slanted("words") +
        "]\n.SH DESCRIPTION\n" +
        "Every member runs a small node of their own, with an encrypted store of skills, checklists and "
        "milestones. Nodes sync peer to peer between newcomer and mentor, and hand the club the little it "
        "needs to see who still needs help. There is no server and no account.\n.PP\n";
    out += "Begin with " + bold("ladderline begin") + ", which asks what it needs; then " + bold("ladderline run") +
           " prints the address of your pages. A command answers a slip with one sentence, says more with " +
           bold("--help") + ", and prints JSON with " + bold("--json") + ".\n.PP\n";
    out +=
        "Syncing goes over your network, the internet or carried files, and never over amateur frequencies, where "
        "hiding the meaning of a message is not allowed.\n.SH OPTIONS\n";
    for (const OptionText& option : program.options) out += option_lines(option);
    out += ".SH COMMANDS\n";
    for (const CommandText& command : program.commands) out += command_lines(command);
    out += entries("FILES", files) + entries("ENVIRONMENT", environment) + entries("EXIT STATUS", exit_codes);
    out += ".SH \"SEE ALSO\"\nThe manuals for newcomers, mentors, officers and keepers of a courier lie in\n" +
           slanted("share/doc/ladderline/manual") + " below the folder of the installation.";
    return out;
}

}  // namespace ladderline::node::cli
