#include "node/app/home.hpp"

#include <termios.h>
#include <unistd.h>

#include <charconv>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iostream>

#include "node/read_models/club_model.hpp"
#include "node/read_models/contact_model.hpp"
#include "node/read_models/desk_model.hpp"
#include "node/read_models/ladder_model.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

const char* environment(const char* name) {
    const char* value = std::getenv(name);
    return value != nullptr && *value != '\0' ? value : nullptr;
}

// Turns the terminal's echo off while it lives.
class QuietTerminal {
public:
    QuietTerminal() {
        if (tcgetattr(STDIN_FILENO, &before_) != 0) return;
        termios quiet = before_;
        quiet.c_lflag &= ~static_cast<tcflag_t>(ECHO);
        changed_ = tcsetattr(STDIN_FILENO, TCSAFLUSH, &quiet) == 0;
    }
    ~QuietTerminal() {
        if (changed_) tcsetattr(STDIN_FILENO, TCSAFLUSH, &before_);
        std::fputc('\n', stderr);
    }
    QuietTerminal(const QuietTerminal&) = delete;
    QuietTerminal& operator=(const QuietTerminal&) = delete;

private:
    termios before_{};
    bool changed_ = false;
};

Result<protocol::SecretBytes> from_line(std::string& line) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    if (line.empty()) return Error{Fault::bad_input, "The passphrase is empty; nothing was changed."};
    auto secret = protocol::SecretBytes::copy_of(as_bytes(line));
    protocol::wipe({reinterpret_cast<std::uint8_t*>(line.data()), line.size()});
    return secret;
}

Result<protocol::SecretBytes> ask(const char* prompt) {
    std::fprintf(stderr, "%s", prompt);
    const QuietTerminal quiet;
    std::string line;
    std::getline(std::cin, line);
    return from_line(line);
}

Result<std::unique_ptr<OpenHome>> with_owner(std::unique_ptr<OpenHome> home, Env& env) {
    home->store->log().act_as(home->me->own_device());
    home->context.reset(new Context{home->store->db(), home->store->log(), *home->me, env, domain::shipped_edition()});
    return home;
}

}  // namespace

Result<std::filesystem::path> home_folder(const std::optional<std::string>& given) {
    if (given) return std::filesystem::path(*given);
    if (const char* home = environment("LADDERLINE_HOME")) return std::filesystem::path(home);
    if (const char* data = environment("XDG_DATA_HOME")) return std::filesystem::path(data) / "ladderline";
    if (const char* user = environment("HOME")) return std::filesystem::path(user) / ".local/share/ladderline";
    return Error{Fault::bad_input, "Say where the store is: --home FOLDER."};
}

Result<protocol::SecretBytes> read_passphrase(const std::optional<std::string>& file, bool twice) {
    const char* named = environment("LADDERLINE_PASSPHRASE_FILE");
    if (file || named != nullptr) {
        const std::string path = file ? *file : named;
        std::ifstream in(path);
        std::string line;
        if (!std::getline(in, line)) return Error{Fault::bad_input, "The passphrase file " + path + " cannot be read."};
        return from_line(line);
    }
    if (isatty(STDIN_FILENO) == 0) {
        return Error{Fault::bad_input, "There is no terminal to ask for the passphrase; use --passphrase-file FILE."};
    }
    TRY(auto first, ask("Passphrase: "));
    if (twice) {
        TRY(const auto second, ask("Once more: "));
        if (!protocol::equal_secret(first.view(), second.view())) {
            return Error{Fault::bad_input, "The two passphrases differ; nothing was changed. Try again."};
        }
    }
    return first;
}

std::vector<std::unique_ptr<store::ReadModel>> node_models() {
    std::vector<std::unique_ptr<store::ReadModel>> models;
    models.push_back(std::make_unique<LadderModel>());
    models.push_back(std::make_unique<ContactModel>());
    models.push_back(std::make_unique<ClubModel>());
    models.push_back(std::make_unique<DeskModel>());
    return models;
}

protocol::PassphraseCost passphrase_cost() {
    protocol::PassphraseCost cost;
    if (const char* text = environment("LADDERLINE_PASSPHRASE_MEMORY_MIB")) {
        const std::string_view given = text;
        std::uint32_t mib = 0;
        const auto [end, error] = std::from_chars(given.data(), given.data() + given.size(), mib);
        if (error == std::errc{} && end == given.data() + given.size() && mib >= 8 && mib <= 4096) {
            cost.memory_kib = mib * 1024;
        }
    }
    return cost;
}

Result<std::unique_ptr<OpenHome>> open_home(const std::filesystem::path& folder, ByteView passphrase, Env& env) {
    auto home = std::make_unique<OpenHome>();
    home->folder = folder;
    TRY(home->store, store::Store::open(home->disk, {folder, {}}, passphrase, env.random, node_models()));
    TRY(home->me, store::load_identity(home->store->db()));
    return with_owner(std::move(home), env);
}

Result<std::unique_ptr<OpenHome>> create_home(const std::filesystem::path& folder, ByteView passphrase, Env& env) {
    auto home = std::make_unique<OpenHome>();
    home->folder = folder;
    TRY(home->store,
        store::Store::create(home->disk, {folder, {}}, passphrase, passphrase_cost(), env.random, node_models()));
    TRY(const auto owner, store::get_text_setting(home->store->db(), "owner_name"));
    if (owner)
        return Error{Fault::refused, "There is a store in this folder already, " + *owner + "'s; nothing was changed."};
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(home->store->db()));
    TRY(home->me, store::create_identity(home->store->db(), "first device", env.random));
    TRY(tx.commit());
    return with_owner(std::move(home), env);
}

}  // namespace ladderline::node
