#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/export.hpp"

namespace ladderline::node::cli {
namespace {

using What = KeyRequest::What;

std::function<std::string(std::string)> from_here(const CommandLine& out) {
    return [folder = out.folder](const std::string& name) { return (folder / name).string(); };
}

void add_new_passphrase_file(CLI::App* sub, const std::shared_ptr<KeyRequest>& request, const CommandLine& out) {
    sub->add_option("--new-passphrase-file", request->new_passphrase_file,
                    "Read the new passphrase from this file's first line, instead of being asked twice")
        ->transform(from_here(out));
}

void add_passphrase(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("passphrase", "Change the passphrase (after a leak use new-key)");
    auto request = std::make_shared<KeyRequest>();
    add_new_passphrase_file(sub, request, out);
    sub->callback([&out, request] {
        request->what = What::passphrase;
        out.keys = *request;
    });
}

void add_new_key(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("new-key",
                                   "Encrypt the store anew, so that leaked passphrases and key files open nothing; the "
                                   "spare key on paper stays the same");
    auto request = std::make_shared<KeyRequest>();
    add_new_passphrase_file(sub, request, out);
    sub->callback([&out, request] {
        request->what = What::new_key;
        out.keys = *request;
    });
}

struct KeyFileOptions {
    std::string path;
    bool remove = false;
};

void add_key_file(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("key-file", "Make a key file with which a node unlocks itself at boot");
    auto o = std::make_shared<KeyFileOptions>();
    auto* path = sub->add_option("path", o->path, "Where to make it, outside the store's folder");
    path->transform(from_here(out));
    sub->add_flag("--remove", o->remove, "No key file opens the store any more")->excludes(path);
    sub->callback([&out, o] {
        if (o->path.empty() && !o->remove) throw CLI::RequiredError("path");
        out.keys = KeyRequest{o->remove ? What::remove_key_file : What::make_key_file, o->path, {}};
    });
}

Result<Answer> do_export(Context& context, const std::string& folder) {
    TRY(const ExportCounts c, export_all(context, folder, context.going_on));
    const std::pair<const char*, std::size_t> counts[] = {
        {"members", c.members},   {"ways", c.ways},           {"items", c.items},     {"statements", c.statements},
        {"contacts", c.contacts}, {"meetings", c.meetings},   {"answers", c.answers}, {"notes", c.notes},
        {"pools", c.pools},       {"club_rows", c.club_rows}, {"events", c.events}};
    boost::json::object json{{"folder", folder}, {"unreadable", c.unreadable}};
    std::vector<std::string> text{"Written to " + folder + ". These files are NOT encrypted; README.txt tells more."};
    for (const auto& [name, count] : counts) {
        json[name] = count;
        text.push_back("  " + std::to_string(count) + "  " + name);
    }
    if (c.unreadable > 0) {
        text.push_back(std::to_string(c.unreadable) + " events cannot be read here and are not in it.");
    }
    return Answer{lines(text), std::move(json)};
}

void add_export(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("export", "Write everything you can read as plain files, not encrypted");
    auto folder = std::make_shared<std::string>();
    sub->add_option("folder", *folder, "An empty folder, or one that is made")->required()->transform(from_here(out));
    sub->callback([&out, folder] {
        out.command = [folder](Context& context) { return do_export(context, *folder); };
        out.long_work = "Writing the export";
    });
}

}  // namespace

void add_key_commands(CLI::App& app, CommandLine& out) {
    app.add_option("--key-file", out.key_file, "Open the store with this key file instead of a passphrase")
        ->transform(from_here(out));
    add_passphrase(app, out);
    add_new_key(app, out);
    add_key_file(app, out);
    add_export(app, out);
    app.add_subcommand("doors", "What opens this store: passphrase, paper key, key file")->callback([&out] {
        out.keys = KeyRequest{What::doors, {}, {}};
    });
}

}  // namespace ladderline::node::cli
