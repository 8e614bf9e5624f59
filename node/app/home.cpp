#include "node/app/home.hpp"

#include <termios.h>
#include <unistd.h>

#include <charconv>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iostream>

#include "node/app/build_facts.hpp"
#include "node/app/machine.hpp"
#include "node/app/recovery.hpp"
#include "node/app/terminal.hpp"
#include "node/commands/clock_note.hpp"
#include "node/read_models/club_model.hpp"
#include "node/read_models/contact_model.hpp"
#include "node/read_models/desk_model.hpp"
#include "node/read_models/ladder_model.hpp"
#include "store/courier/courier_model.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

constexpr std::string_view recovering_setting = "recovering";

constexpr std::size_t paper_file_bytes_max = 4096;
constexpr std::size_t passphrase_bytes_max = 4096;
constexpr int tries_max = 3;
constexpr std::size_t short_passphrase_bytes = 16;  // three or four words; said, and taken all the same

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
    const QuietTerminal quiet;  // before the prompt: what is typed after it is neither shown nor lost
    std::fprintf(stderr, "%s", prompt);
    std::string line;
    line.reserve(passphrase_bytes_max);  // a line that grows would leave pieces of itself behind
    std::getline(std::cin, line);
    return from_line(line);
}

Result<protocol::SecretBytes> from_file(const std::string& path) {
    std::ifstream in;
    in.rdbuf()->pubsetbuf(nullptr, 0);  // no copy of the passphrase stays in a buffer
    in.open(path);
    std::string line;
    line.reserve(passphrase_bytes_max);
    char c = '\n';
    while (in.get(c) && c != '\n' && line.size() < passphrase_bytes_max) line += c;
    if (line.empty() && !in) return Error{Fault::bad_input, "The passphrase file " + path + " cannot be read."};
    if (line.size() == passphrase_bytes_max && c != '\n') {
        protocol::wipe({reinterpret_cast<std::uint8_t*>(line.data()), line.size()});
        return Error{Fault::bad_input, "The first line of " + path + " is too long for a passphrase."};
    }
    return from_line(line);
}

Result<protocol::SecretBytes> ask_twice_once(const char* prompt) {
    TRY(auto first, ask(prompt));
    TRY(const auto second, ask("Once more: "));
    if (protocol::equal_secret(first.view(), second.view())) return first;
    return Error{Fault::bad_input, "The two passphrases differ; nothing was changed. Try again."};
}

// Asked for anew after a slip: what was typed before, six groups perhaps, need not be typed once more.
Result<protocol::SecretBytes> ask_twice(const char* prompt) {
    for (int tries = 1;; ++tries) {
        auto secret = ask_twice_once(prompt);
        if (!secret && tries == tries_max) return secret;
        if (!secret) {
            write_words(stderr, secret.error().sentence() + "\n");
            continue;
        }
        if (secret.value().view().size() < short_passphrase_bytes) {
            write_words(stderr,
                        "That passphrase is short: somebody who gets a copy of your store can find it by trying. You "
                        "can choose a longer one on any day with 'ladderline passphrase'.\n");
        }
        return secret;
    }
}

Error no_terminal(const char* option) {
    return {Fault::bad_input, std::string("There is no terminal to ask for the passphrase; use ") + option + " FILE."};
}

}  // namespace

Result<std::unique_ptr<OpenHome>> with_owner(std::unique_ptr<OpenHome> home, Env& env) {
    home->store->log().act_as(home->me->own_device());
    home->context.reset(new Context{home->store->db(), home->store->log(), *home->me, env, domain::shipped_edition()});
    home->context->opened_by_key_file = home->opened_by == store::vault::SlotType::key_file;
    home->context->home = home->folder;
    home->context->keep_paper_slot = [keys = &home->store->keys(), disk = &home->disk,
                                      &env](ByteView secret) -> Result<void> {
        if (keys->has(store::vault::SlotType::paper)) return ok();
        return keys->set_slot(*disk, store::vault::SlotType::paper, secret, {}, env.random);
    };
    // A store opens whatever comes of this.
    static_cast<void>(look_at_clock(*home->context, {program_made(), {}}).has_value());
    return home;
}

Result<std::filesystem::path> home_folder(const std::optional<std::string>& given) {
    if (given) return std::filesystem::path(*given);
    if (const char* home = environment("LADDERLINE_HOME")) return std::filesystem::path(home);
    // The rule for these names: a path that is not absolute counts as none.
    const char* data = environment("XDG_DATA_HOME");
    if (data != nullptr && *data == '/') return std::filesystem::path(data) / "ladderline";
    if (const char* user = environment("HOME")) return std::filesystem::path(user) / ".local/share/ladderline";
    return Error{Fault::bad_input, "Say where the store is: --home FOLDER."};
}

Result<protocol::SecretBytes> read_passphrase(const std::optional<std::string>& file, bool twice) {
    const char* named = environment("LADDERLINE_PASSPHRASE_FILE");
    if (file || named != nullptr) return from_file(file ? *file : named);
    if (isatty(STDIN_FILENO) == 0) return no_terminal("--passphrase-file");
    return twice ? ask_twice("Passphrase: ") : ask("Passphrase: ");
}

bool asks_for_passphrase(const std::optional<std::string>& file) {
    return !file && environment("LADDERLINE_PASSPHRASE_FILE") == nullptr && isatty(STDIN_FILENO) != 0;
}

Result<protocol::SecretBytes> read_new_passphrase(const std::optional<std::string>& file) {
    if (file) return from_file(*file);
    if (isatty(STDIN_FILENO) == 0) return no_terminal("--new-passphrase-file");
    return ask_twice("New passphrase: ");
}

Result<protocol::PaperSeed> read_paper(const std::optional<std::string>& file) {
    std::string text;
    if (file) {
        std::ifstream in;
        in.rdbuf()->pubsetbuf(nullptr, 0);  // as above
        in.open(*file);
        if (!in)
            return Error{Fault::bad_input, "The paper key file " + *file + " cannot be read; nothing was changed."};
        text.reserve(paper_file_bytes_max);  // as above
        char c = 0;
        while (text.size() < paper_file_bytes_max && in.get(c)) text += c;
    } else {
        if (isatty(STDIN_FILENO) == 0) {
            return Error{Fault::bad_input, "There is no terminal to ask for the paper key; use --paper-key-file FILE."};
        }
        const QuietTerminal quiet;
        std::fprintf(stderr, "Paper key, six groups: ");
        text.reserve(paper_file_bytes_max);
        std::getline(std::cin, text);
    }
    auto seed = protocol::read_paper_key(text);
    protocol::wipe({reinterpret_cast<std::uint8_t*>(text.data()), text.size()});
    return seed;
}

Result<Unlock> read_unlock(const std::optional<std::string>& passphrase_file, bool paper,
                           const std::optional<std::string>& paper_key_file) {
    Unlock unlock;
    if (paper || paper_key_file) {
        TRY(const protocol::PaperSeed seed, read_paper(paper_key_file));
        unlock.by = store::vault::SlotType::paper;
        unlock.secret = protocol::paper_slot_secret(seed);
    } else {
        TRY(unlock.secret, read_passphrase(passphrase_file, false));
    }
    return unlock;
}

std::vector<std::unique_ptr<store::ReadModel>> node_models() {
    std::vector<std::unique_ptr<store::ReadModel>> models;
    models.push_back(std::make_unique<LadderModel>());
    models.push_back(std::make_unique<ContactModel>());
    models.push_back(std::make_unique<ClubModel>());
    models.push_back(std::make_unique<DeskModel>());
    models.push_back(std::make_unique<store::CourierModel>());
    return models;
}

protocol::PassphraseCost passphrase_cost() {
    protocol::PassphraseCost cost = passphrase_cost_for(memory_of_machine());
    if (const char* text = environment("LADDERLINE_PASSPHRASE_MEMORY_MIB")) {
        const std::string_view given = text;
        std::uint32_t mib = 0;
        const auto [end, error] = std::from_chars(given.data(), given.data() + given.size(), mib);
        if (error == std::errc{} && end == given.data() + given.size() && mib >= 8 && mib <= 1024) {
            cost.memory_kib = mib * 1024;
        }
    }
    return cost;
}

Result<std::unique_ptr<OpenHome>> open_home(const std::filesystem::path& folder, const Unlock& unlock, Env& env) {
    auto home = std::make_unique<OpenHome>();
    home->folder = folder;
    home->opened_by = unlock.by;
    TRY(home->store,
        store::Store::open(home->disk, {folder, {}}, unlock.by, unlock.secret.view(), env.random, node_models()));
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
        return Error{Fault::refused, "There is a store in this folder already, " + *owner +
                                         "'s; nothing was changed. 'ladderline run' starts it."};
    TRY(const auto returning, store::get_text_setting(home->store->db(), recovering_setting));
    if (returning) {
        return Error{Fault::refused,
                     "In this folder somebody began to bring their circles back; nothing was changed. Go on with "
                     "'ladderline recover', or begin in another folder."};
    }
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(home->store->db()));
    const auto paper = protocol::PaperSeed::random(env.random);
    TRY(home->me, store::create_identity(home->store->db(), "first device", paper, env.random));
    // Before the commit, so that whatever seed the store holds is the one that opens it.
    TRY(home->store->keys().set_slot(home->disk, store::vault::SlotType::paper,
                                     protocol::paper_slot_secret(paper).view(), {}, env.random));
    TRY(store::put_text_setting(home->store->db(), "door_made:1", to_iso(utc_day(env.clock.wall()))));
    TRY(tx.commit());
    return with_owner(std::move(home), env);
}

Result<std::unique_ptr<OpenHome>> recovery_home(const std::filesystem::path& folder, ByteView passphrase,
                                                const protocol::PaperSeed& paper, Env& env) {
    auto home = std::make_unique<OpenHome>();
    home->folder = folder;
    TRY(home->store,
        store::Store::create(home->disk, {folder, {}}, passphrase, passphrase_cost(), env.random, node_models()));
    store::sqlite::Database& db = home->store->db();
    TRY(const auto before, store::stored_paper_seed(db));
    TRY(const auto owner, store::get_text_setting(db, "owner_name"));
    const bool same = before && protocol::equal_secret(before->view(), paper.view());
    if (!same && (before || owner)) {
        return Error{Fault::refused,
                     "There is a store of another person in this folder already; nothing was changed. Choose another "
                     "folder with --home."};
    }
    if (same) {
        TRY(home->me, store::load_identity(db));
        return with_owner(std::move(home), env);
    }
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(db));
    TRY(home->me, store::create_identity(db, "device from paper", paper, env.random));
    TRY(store::put_text_setting(db, recovering_setting, "yes"));
    // Whoever typed it in holds the sheet.
    TRY(store::put_text_setting(db, "paper_written_down", to_iso(utc_day(env.clock.wall()))));
    TRY(home->store->keys().set_slot(home->disk, store::vault::SlotType::paper,
                                     protocol::paper_slot_secret(paper).view(), {}, env.random));
    TRY(tx.commit());
    return with_owner(std::move(home), env);
}

}  // namespace ladderline::node
