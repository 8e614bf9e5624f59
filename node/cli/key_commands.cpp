#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"

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
    auto* sub =
        app.add_subcommand("new-key", "Encrypt the store anew, so that leaked keys and passphrases open nothing");
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

}  // namespace

void add_key_commands(CLI::App& app, CommandLine& out) {
    app.add_option("--key-file", out.key_file, "Open the store with this key file instead of a passphrase")
        ->transform(from_here(out));
    add_passphrase(app, out);
    add_new_key(app, out);
    add_key_file(app, out);
    app.add_subcommand("doors", "What opens this store: passphrase, paper key, key file")->callback([&out] {
        out.keys = KeyRequest{What::doors, {}, {}};
    });
}

}  // namespace ladderline::node::cli
