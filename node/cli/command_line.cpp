#include "node/cli/command_line.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <numeric>

#include "node/cli/command_tree.hpp"

namespace ladderline::node::cli {
namespace {

// The innermost command that was named.
const CLI::App& chosen_of(const CLI::App& app) {
    const auto chosen = app.get_subcommands();
    return chosen.empty() ? app : chosen_of(*chosen.front());
}

// How many letters have to be put in, left out or changed to make one of the other.
std::size_t slips_between(std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t corner = row[0];
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t changed = corner + (a[i - 1] == b[j - 1] ? 0 : 1);
            corner = row[j];
            row[j] = std::min({row[j] + 1, row[j - 1] + 1, changed});
        }
    }
    return row[b.size()];
}

// The one command that a mistyped word is near to; empty if there is none, or more.
std::string meant_command(const CLI::App& app, const std::string& typed) {
    std::size_t fewest = typed.size() < 5 ? 2 : 3;  // fewer slips than that
    std::string out;
    for (const CLI::App* command : app.get_subcommands([](const CLI::App* one) { return !one->get_group().empty(); })) {
        const std::size_t slips = slips_between(typed, command->get_name());
        if (slips == fewest) out.clear();
        if (slips >= fewest) continue;
        fewest = slips;
        out = command->get_name();
    }
    return out;
}

// What the library says, in our words where its own are hard to read.
std::string reason(const CLI::App& app, const CLI::ParseError& error) {
    const auto unknown = app.remaining(true);
    const std::string first = unknown.empty() ? "" : "'" + unknown.front() + "'";
    if (app.get_subcommands().empty()) {
        if (first.empty()) return "Say what to do: 'ladderline begin' the first time, 'ladderline run' from then on";
        if (first.starts_with("'-")) return first + " is no option";
        const std::string meant = meant_command(app, unknown.front());
        return first + " is no command" + (meant.empty() ? "" : " (do you mean '" + meant + "'?)");
    }
    const bool needs_word = chosen_of(app).get_require_subcommand_min() > 0;
    if (needs_word) return "Say what to do" + (first.empty() ? "" : ", " + first + " is none of it");
    if (dynamic_cast<const CLI::ExtrasError*>(&error) != nullptr && !first.empty()) {
        if (first.starts_with("'-")) return first + " is no option of this command";
        return first + " is one word too many (words that belong together stand between quotes)";
    }
    constexpr std::string_view repeated = ": At Most 1 required but received";
    const std::string_view text = error.what();
    if (text.find(repeated) != std::string_view::npos) {
        return std::string(text.substr(0, text.find(repeated))) + " is given more than once";
    }
    constexpr std::string_view unreadable = "Could not convert: ";
    if (text.starts_with(unreadable)) return "'" + std::string(text.substr(unreadable.size())) + "' cannot be read";
    return std::string(text);
}

std::string one_sentence(const CLI::App& app, const CLI::ParseError& error) {
    std::string text = reason(app, error);
    for (char& c : text) {
        if (c == '\n') c = ' ';
    }
    while (!text.empty() && text.back() == '.') text.pop_back();
    std::string name;
    for (const CLI::App* at = &chosen_of(app); at != &app; at = at->get_parent()) name = " " + at->get_name() + name;
    const char* joint = text.find(';') == std::string::npos ? "; see" : ", see";
    return text + joint + " 'ladderline" + name + " --help'.";
}

void add_papers(CLI::App& app, CommandLine& out) {
    auto* page = app.add_subcommand("manual-page", "The manual page, for man");
    page->group("");  // for whoever installs the program; not in the help
    page->callback([&app, &out] { out.help = manual_page(command_tree(app), LADDERLINE_VERSION); });
    auto* completion = app.add_subcommand("completion", "The completion of commands, for bash");
    completion->group("");
    completion->callback([&app, &out] { out.help = bash_completion(command_tree(app)); });
}

void add_everything(CLI::App& app, CommandLine& out) {
    app.set_version_flag("--version", std::string(LADDERLINE_VERSION), "What this program is and was made of");
    app.require_subcommand(1);
    app.fallthrough();
    app.add_option("--home", out.home, "Folder of the store");
    app.add_option("--passphrase-file", out.passphrase_file, "Read the passphrase from this file's first line");
    app.add_option("--paper-key-file", out.paper_key_file, "Open with the paper key in this file, not the passphrase");
    app.add_flag("--paper-key", out.paper_key, "Open with the paper key, asked for here, not the passphrase");
    app.add_flag("--json", out.json, "Print JSON");
    add_circle_commands(app, out);
    add_greeting_commands(app, out);
    add_phone_command(app, out);
    add_going_commands(app, out);
    add_item_commands(app, out);
    add_way_commands(app, out);
    add_meet_commands(app, out);
    add_evening_commands(app, out);
    add_log_commands(app, out);
    add_study_commands(app, out);
    add_mock_commands(app, out);
    add_licence_commands(app, out);
    add_club_commands(app, out);
    add_pair_commands(app, out);
    add_pairing_commands(app, out);
    add_paper_commands(app, out);
    add_store_commands(app, out);
    add_key_commands(app, out);
    add_carry_commands(app, out);
    add_courier_commands(app, out);
    add_station_commands(app, out);
    add_exposure_commands(app, out);
    add_map_commands(app, out);
    add_search_commands(app, out);
    add_papers(app, out);
}

constexpr const char* about = "Ladderline: a newcomer's way to the first contacts, and the people who help.";

}  // namespace

CommandText command_tree() {
    CommandLine unused;
    CLI::App app{about, "ladderline"};
    add_everything(app, unused);
    return command_tree(app);
}

bool wants_json(const std::vector<std::string>& words) {
    return std::find(words.begin(), words.end(), "--json") != words.end();
}

Result<CommandLine> parse_command_line(const std::vector<std::string>& words, const std::filesystem::path& folder) {
    // What is answered in JSON, written down or sent to others is text.
    if (!std::all_of(words.begin(), words.end(), is_utf8)) {
        return Error{Fault::bad_input, "One of these words is no text in UTF-8, so nothing was done; type it again."};
    }
    CommandLine out;
    out.folder = folder;
    CLI::App app{about, "ladderline"};
    add_everything(app, out);
    try {
        app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
    } catch (const CLI::CallForHelp&) {
        out.help = chosen_of(app).help();
    } catch (const CLI::CallForVersion&) {
        out.version = true;
        out.json = wants_json(words);  // not read yet, where it stands behind
    } catch (const CLI::ParseError& error) {
        return Error{Fault::bad_input, one_sentence(app, error)};
    }
    return out;
}

}  // namespace ladderline::node::cli
