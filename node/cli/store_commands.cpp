#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"

namespace ladderline::node::cli {
namespace {

void add_backup(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("backup", "Make a sealed copy of the store in a new folder");
    const auto folder = std::make_shared<std::string>();
    sub->add_option("folder", *folder, "An empty folder, or one that is not there yet")->required();
    sub->callback([&out, folder] { out.back_up_to = out.folder / *folder; });
}

void add_restore(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("restore", "Make the store from a backup, where there is none");
    const auto folder = std::make_shared<std::string>();
    sub->add_option("folder", *folder, "The folder of the backup")->required();
    sub->callback([&out, folder] { out.restore_from = out.folder / *folder; });
}

void add_check(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("check", "Check every page and every event of the store");
    const auto options = std::make_shared<CheckOptions>();
    sub->add_flag("--last", options->last, "Only say what the last check found");
    sub->callback([&out, options] { out.check = *options; });
}

void add_mend(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("mend", "Keep what can be read of a damaged store; the rest comes from your people");
    sub->callback([&out] { out.mend = true; });
}

}  // namespace

void add_store_commands(CLI::App& app, CommandLine& out) {
    add_backup(app, out);
    add_restore(app, out);
    add_check(app, out);
    add_mend(app, out);
}

}  // namespace ladderline::node::cli
