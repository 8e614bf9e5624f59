#pragma once
// The command line, read once. What needs an open store becomes a function of the context, so that the same words work
// on a store opened by this process and inside a node that runs already.

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "node/cli/answer.hpp"
#include "node/commands/circles.hpp"

namespace CLI {
class App;
}

namespace ladderline::node::cli {

struct RunOptions {
    std::uint16_t page_port = 0;
    std::string listen = "0.0.0.0:7300";  // empty: do not listen
    std::string address;                  // what invites name, if not the address listened on
};

struct JoinOptions {
    std::string code;
    bool under_18 = false;
};

struct RecoverOptions {
    std::string peer;  // host:port of somebody who shares a circle
};

struct CheckOptions {
    bool last = false;  // only what the last check found
};

struct CommandLine {
    std::optional<std::string> home;
    std::optional<std::string> passphrase_file;
    std::optional<std::string> paper_key_file;
    bool paper_key = false;  // asked for on this terminal in place of the passphrase
    bool json = false;
    std::filesystem::path folder;  // names of files that a command reads are meant from here

    // Exactly one of these is set after a good parse.
    std::optional<std::string> help;  // to be printed, exit code 0
    std::optional<BeginRequest> begin;
    std::optional<RunOptions> run;
    std::optional<JoinOptions> join;
    std::optional<RecoverOptions> recover;
    std::optional<std::filesystem::path> back_up_to;
    std::optional<std::filesystem::path> restore_from;
    std::optional<CheckOptions> check;
    bool mend = false;
    bool new_pages_address = false;
    // Set where an invite was asked for without an address: the running node fills in its own before the command runs.
    std::shared_ptr<std::string> invite_needs_address;
    bool practise_here = false;  // a dialogue on this terminal
    std::vector<std::string> practise_words;
    bool paper_here = false;  // the sheet, and two groups asked back on this terminal
    std::function<Result<Answer>(Context&)> command;
};

// bad_input with one sentence. `folder`: where the person stands, if it is not this process's own folder.
Result<CommandLine> parse_command_line(const std::vector<std::string>& words, const std::filesystem::path& folder = {});
// Whether errors are to be JSON as well, known also where the words cannot be read.
bool wants_json(const std::vector<std::string>& words);

// The groups of commands, each in a file of its own; each adds its words to the app and says what to do in `out`.
void add_circle_commands(CLI::App& app, CommandLine& out);
void add_item_commands(CLI::App& app, CommandLine& out);
void add_way_commands(CLI::App& app, CommandLine& out);
void add_contact_commands(CLI::App& app, CommandLine& out);
void add_study_commands(CLI::App& app, CommandLine& out);
void add_club_commands(CLI::App& app, CommandLine& out);
void add_paper_commands(CLI::App& app, CommandLine& out);
void add_store_commands(CLI::App& app, CommandLine& out);

}  // namespace ladderline::node::cli
