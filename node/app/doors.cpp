#include "node/app/doors.hpp"

#include <algorithm>

#include "node/app/key_files.hpp"
#include "node/app/machine.hpp"
#include "node/app/progress_line.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using store::vault::KeySlot;
using store::vault::SlotType;
using What = cli::KeyRequest::What;

constexpr SlotType all_types[] = {SlotType::passphrase, SlotType::paper, SlotType::key_file};

std::string setting_of(SlotType type) {
    return "door_made:" + std::to_string(static_cast<int>(type));
}

std::string_view word_of(SlotType type) {
    switch (type) {
        case SlotType::passphrase:
            return "passphrase";
        case SlotType::paper:
            return "paper key";
        case SlotType::key_file:
            break;
    }
    return "key file";
}

std::string cost_words(const KeySlot& slot) {
    if (slot.type != SlotType::passphrase) return "random, so a guess costs nothing and finds nothing";
    return std::to_string(slot.cost.passes) + " passes over " + std::to_string(slot.cost.memory_kib / 1024) + " MiB";
}

constexpr std::string_view unlocks_itself = "opened by key file: this node unlocks itself at boot";

cli::Answer said(std::string sentence) {
    return {sentence, {{"said", sentence}}};
}

// A day that cannot be kept is not worth failing for: the way in is made.
void note(OpenHome& home, SlotType type) {
    static_cast<void>(note_door(home.store->db(), type, home.context->today()).has_value());
}

Result<cli::Answer> change_passphrase(const cli::KeyRequest& request, OpenHome& home, Env& env) {
    TRY(const auto secret, read_new_passphrase(request.new_passphrase_file));
    store::RealDisk disk;
    TRY(home.store->keys().set_slot(disk, SlotType::passphrase, secret.view(), passphrase_cost(), env.random));
    note(home, SlotType::passphrase);
    return said(
        "The passphrase is changed. An old copy of the file 'keys' together with the old passphrase still opens this "
        "store: if either has leaked, use 'ladderline new-key'.");
}

Result<cli::Answer> add_key_file(const cli::KeyRequest& request, OpenHome& home, Env& env) {
    const bool replaces = home.store->keys().has(SlotType::key_file);
    TRY(const auto secret, make_key_file(request.path, home.folder, env.random));
    store::RealDisk disk;
    const Result<void> stored =
        home.store->keys().set_slot(disk, SlotType::key_file, secret.view(), {0, 0}, env.random);
    if (!stored) {
        static_cast<void>(disk.remove(request.path).has_value());
        return stored.error();
    }
    note(home, SlotType::key_file);
    std::string sentence = "The key file " + request.path.string() +
                           " is made. 'ladderline run --key-file' with it starts a node that unlocks itself at boot: "
                           "whoever can read this file and the store has everything in it.";
    if (replaces) sentence += " The key file of before opens nothing any more.";
    return said(std::move(sentence));
}

Result<cli::Answer> remove_key_file(OpenHome& home) {
    store::RealDisk disk;
    TRY(home.store->keys().remove_slot(disk, SlotType::key_file));
    return said(
        "No key file opens this store any more; delete the file itself. An old copy of 'keys' together with it still "
        "opens the store: if it has leaked, use 'ladderline new-key'.");
}

std::string dropped_words(const std::vector<SlotType>& dropped) {
    std::string list;
    for (const SlotType type : dropped) list += (list.empty() ? "" : " and the ") + std::string(word_of(type));
    if (list.empty()) return "";
    const bool several = dropped.size() > 1;
    return " The " + list + (several ? " were" : " was") + " not at hand and " + (several ? "open" : "opens") +
           " this store no more: make " + (several ? "them" : "it") + " anew.";
}

// What lies in the store's folder and older keys open: copies, and databases that mending kept. Sorted.
std::vector<std::string> opened_by_older_keys(const std::filesystem::path& home) {
    std::vector<std::string> out;
    std::error_code none;
    for (std::filesystem::directory_iterator at(home / "copies", none), end; !none && at != end; at.increment(none)) {
        std::error_code unknown;
        if (std::filesystem::exists(at->path() / "keys", unknown)) out.push_back(at->path().string());
    }
    std::error_code gone;
    for (std::filesystem::directory_iterator at(home, gone), end; !gone && at != end; at.increment(gone)) {
        if (at->path().filename().string().find(".damaged-") != std::string::npos) out.push_back(at->path().string());
    }
    std::sort(out.begin(), out.end());
    return out;
}

// The seed of the paper key is in every copy, and the new key file has a slot for it.
std::string older_keys_words(const std::vector<std::string>& found) {
    std::string out =
        " Backups of before still open with the passphrase of their day, and whoever opens one has your spare key, "
        "which opens this store too: if that may have happened, read 'Somebody has seen my spare key' in the manual "
        "'what if'.";
    for (std::size_t i = 0; i < found.size(); ++i) {
        out += (i == 0 ? " Such are in this store's own folder; delete them once the store has opened with the new "
                         "passphrase: "
                       : ", ") +
               found[i];
    }
    return found.empty() ? out : out + ".";
}

Result<cli::Answer> renew_key(const cli::KeyRequest& request, std::unique_ptr<OpenHome> home, const Unlock& unlock,
                              Env& env) {
    TRY(auto passphrase, read_new_passphrase(request.new_passphrase_file));
    std::vector<store::vault::SlotSecret> secrets{{SlotType::passphrase, passphrase.view(), passphrase_cost()}};
    if (unlock.by != SlotType::passphrase) secrets.push_back({unlock.by, unlock.secret.view(), {0, 0}});
    // The store knows its own paper key, so the sheet goes on opening it.
    TRY(const auto paper, store::stored_paper_seed(home->store->db()));
    protocol::SecretBytes paper_secret;
    const bool keeps_paper = paper && unlock.by != SlotType::paper && home->store->keys().has(SlotType::paper);
    if (keeps_paper) {
        paper_secret = protocol::paper_slot_secret(*paper);
        secrets.push_back({SlotType::paper, paper_secret.view(), {0, 0}});
    }
    std::vector<SlotType> dropped;
    for (const SlotType type : all_types) {
        const bool kept = type == SlotType::passphrase || type == unlock.by || (keeps_paper && type == SlotType::paper);
        if (!kept && home->store->keys().has(type)) dropped.push_back(type);
    }
    const std::filesystem::path folder = home->folder;
    {
        ProgressLine line(env.clock, "Encrypting the store anew");
        store::RealDisk disk;
        home->context.reset();
        std::unique_ptr<store::Store> old_store = std::move(home->store);  // refers to the disk of `home`
        TRY(store::Store::renew_data_key(std::move(old_store), disk, secrets, env.random, line.progress()));
    }
    // Opened once, so that what is said here has been seen.
    TRY(const auto opened, open_home(folder, {SlotType::passphrase, std::move(passphrase)}, env));
    note(*opened, SlotType::passphrase);
    return said("The store is encrypted under a new key; old copies of 'keys' and old passphrases open nothing of it." +
                dropped_words(dropped) + older_keys_words(opened_by_older_keys(folder)));
}

}  // namespace

Result<void> note_door(store::sqlite::Database& db, SlotType type, Day day) {
    return store::put_text_setting(db, setting_of(type), to_iso(day));
}

Result<cli::Answer> show_doors(OpenHome& home) {
    store::RealDisk disk;
    TRY(const auto slots, store::vault::read_slots(disk, home.folder));
    std::vector<std::string> text;
    boost::json::array doors;
    for (const KeySlot& slot : slots) {
        TRY(const auto made, store::get_text_setting(home.store->db(), setting_of(slot.type)));
        text.push_back(std::string(word_of(slot.type)) + "  " + cost_words(slot) +
                       (made ? "  made " + *made : std::string()));
        boost::json::object door{{"door", word_of(slot.type)}, {"passes", slot.cost.passes}};
        door["memory_kib"] = slot.cost.memory_kib;
        if (made) door["made"] = *made;
        doors.push_back(std::move(door));
    }
    const bool unattended = home.opened_by == SlotType::key_file;
    if (unattended) text.push_back("This store is " + std::string(unlocks_itself) + ".");
    const ProcessGuard guard = process_guard();
    boost::json::object process{{"dumpable", guard.dumpable}, {"core_bytes_max", guard.core_bytes_max}};
    process["locked_kib"] = guard.locked_kib;
    return cli::Answer{cli::lines(text),
                       {{"doors", std::move(doors)}, {"opened_by_key_file", unattended}, {"process", process}}};
}

Result<cli::Answer> at_the_doors(const cli::KeyRequest& request, std::unique_ptr<OpenHome> home, const Unlock& unlock,
                                 Env& env) {
    switch (request.what) {
        case What::doors:
            break;
        case What::passphrase:
            return change_passphrase(request, *home, env);
        case What::new_key:
            return renew_key(request, std::move(home), unlock, env);
        case What::make_key_file:
            return add_key_file(request, *home, env);
        case What::remove_key_file:
            return remove_key_file(*home);
    }
    return show_doors(*home);
}

}  // namespace ladderline::node
