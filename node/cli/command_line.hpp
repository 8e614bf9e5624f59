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
    std::uint32_t look_minutes = 5;       // between two looks into the drop folders
    bool nearby = true;                   // find, and be found by, members on the same local network
    // Notices on the desktop; `full`: with what waits, and whose.
    enum class Notify : std::uint8_t { off, plain, full };
    Notify notify = Notify::off;
    std::uint32_t lock_minutes = 240;     // without anybody doing anything, until the pages are locked; 0: never
};

struct JoinOptions {
    std::string code;
    bool under_18 = false;
    bool by_voice = false;        // `code` is an address
    std::optional<bool> is_same;  // the word on the letters of a call that waits in the running node

    bool greets() const { return by_voice || is_same.has_value(); }
};

// A door for one stranger with whom check words are compared. Needs a running node.
struct GreetOptions {
    enum class What : std::uint8_t { show, open, wait, heard, differ, shut };
    What what = What::show;
    InviteRequest request;
    std::string heard;  // two letters A to Z
};

struct RecoverOptions {
    std::string peer;  // host:port of somebody who shares a circle
};

// The calendar feed of a running node.
struct FeedRequest {
    enum class What : std::uint8_t { show, anew, off };
    What what = What::show;
};

// The pages of a running node on its owner's telephone.
struct PhoneRequest {
    enum class What : std::uint8_t { show, open, shut };
    What what = What::show;
    std::string address;  // of this machine on the local network
    std::uint16_t port = 0;
    std::int32_t minutes = 30;
    bool on_light_screen = false;
};

struct CheckOptions {
    bool last = false;  // only what the last check found
};

// What changes or shows the ways into the store. Done by the process that asks for secrets, not inside a running node
// (which shows them only).
struct KeyRequest {
    enum class What : std::uint8_t { doors, passphrase, new_key, make_key_file, remove_key_file };
    What what = What::doors;
    std::filesystem::path path;  // of the key file to be made
    std::optional<std::string> new_passphrase_file;
};

// A call to a courier, by whoever is in a circle.
struct CourierCall {
    enum class What : std::uint8_t { visit, use, stop };
    What what = What::visit;
    std::string address;  // host:port
    std::string code;
    std::string circle;  // path, club or desk
    std::string who;     // whose path
};

struct CommandLine {
    std::optional<std::string> home;
    std::optional<std::string> passphrase_file;
    std::optional<std::string> key_file;  // opens the store in the place of a passphrase
    std::optional<std::string> paper_key_file;
    bool paper_key = false;  // asked for on this terminal in place of the passphrase
    bool json = false;
    std::filesystem::path folder;  // names of files that a command reads are meant from here

    // Exactly one of these is set after a good parse.
    std::optional<std::string> help;  // to be printed, exit code 0
    bool version = false;             // what the program is and was made of, to be printed
    std::optional<BeginRequest> begin;
    bool begin_asks = false;      // with `begin`: step by step, because no name was given or the guide is wanted
    bool begin_has_seat = false;  // with `begin`: it was said what they begin as
    std::optional<RunOptions> run;
    std::optional<JoinOptions> join;
    std::optional<GreetOptions> greet;
    std::optional<RecoverOptions> recover;
    bool begin_courier = false;
    std::optional<CourierCall> courier_call;
    std::optional<std::filesystem::path> back_up_to;
    std::optional<std::filesystem::path> restore_from;
    std::optional<CheckOptions> check;
    bool mend = false;
    std::optional<KeyRequest> keys;
    bool new_pages_address = false;
    std::optional<FeedRequest> feed;
    std::optional<PhoneRequest> phone;
    // Set where an invite was asked for without an address: the running node fills in its own before the command runs.
    std::shared_ptr<std::string> invite_needs_address;
    bool practise_here = false;  // a dialogue on this terminal
    bool greet_here = false;     // the same: a greeting from its opening to its end
    bool call_here = false;      // the same: the caller's side
    std::vector<std::string> practise_words;
    bool paper_here = false;  // the sheet, and two groups asked back on this terminal
    std::function<Result<Answer>(Context&)> command;
    bool for_courier = false;  // `command` is for the store of a courier, and for no other
    std::string long_work;     // "Writing the export": the command may take long, and tells and asks Context::going_on
};

// bad_input with one sentence. `folder`: where the person stands, if it is not this process's own folder.
Result<CommandLine> parse_command_line(const std::vector<std::string>& words, const std::filesystem::path& folder = {});
// Whether errors are to be JSON as well, known also where the words cannot be read.
bool wants_json(const std::vector<std::string>& words);

// The groups of commands, each in a file of its own; each adds its words to the app and says what to do in `out`.
void add_circle_commands(CLI::App& app, CommandLine& out);
void add_greeting_commands(CLI::App& app, CommandLine& out);
void add_phone_command(CLI::App& app, CommandLine& out);
void add_going_commands(CLI::App& app, CommandLine& out);
void add_item_commands(CLI::App& app, CommandLine& out);
void add_way_commands(CLI::App& app, CommandLine& out);
void add_meet_commands(CLI::App& app, CommandLine& out);
void add_evening_commands(CLI::App& app, CommandLine& out);
void add_log_commands(CLI::App& app, CommandLine& out);
void add_study_commands(CLI::App& app, CommandLine& out);
void add_mock_commands(CLI::App& app, CommandLine& out);
void add_licence_commands(CLI::App& app, CommandLine& out);
void add_club_commands(CLI::App& app, CommandLine& out);
void add_pair_commands(CLI::App& app, CommandLine& out);
void add_pairing_commands(CLI::App& app, CommandLine& out);
void add_paper_commands(CLI::App& app, CommandLine& out);
void add_store_commands(CLI::App& app, CommandLine& out);
void add_key_commands(CLI::App& app, CommandLine& out);
void add_carry_commands(CLI::App& app, CommandLine& out);
void add_courier_commands(CLI::App& app, CommandLine& out);
void add_station_commands(CLI::App& app, CommandLine& out);
void add_exposure_commands(CLI::App& app, CommandLine& out);
void add_map_commands(CLI::App& app, CommandLine& out);
void add_search_commands(CLI::App& app, CommandLine& out);

}  // namespace ladderline::node::cli
