#pragma once
// Where one person's store lives, its lock, and the objects that a process holds while it is open.

#include <filesystem>
#include <memory>
#include <optional>

#include "node/commands/context.hpp"
#include "store/store.hpp"

namespace ladderline::node {

// --home, else $LADDERLINE_HOME, else $XDG_DATA_HOME/ladderline, else ~/.local/share/ladderline.
Result<std::filesystem::path> home_folder(const std::optional<std::string>& given);

// The passphrase: the first line of the file named, else of $LADDERLINE_PASSPHRASE_FILE, else asked on the terminal
// without showing it. `twice`: asked again, and compared.
Result<protocol::SecretBytes> read_passphrase(const std::optional<std::string>& file, bool twice);
// Whether read_passphrase asks a person, who may make a slip.
bool asks_for_passphrase(const std::optional<std::string>& file);

// What opens a store: a passphrase, or the secret of another kind of slot.
struct Unlock {
    store::vault::SlotType by = store::vault::SlotType::passphrase;
    protocol::SecretBytes secret;
};
// The paper key: the file named, else asked on the terminal without showing it.
Result<protocol::PaperSeed> read_paper(const std::optional<std::string>& file);
// By the paper key if its file is named or `paper` is set, else by the passphrase.
Result<Unlock> read_unlock(const std::optional<std::string>& passphrase_file, bool paper,
                           const std::optional<std::string>& paper_key_file);

std::vector<std::unique_ptr<store::ReadModel>> node_models();

// The one to come: the first line of the file named, else asked for twice on the terminal.
Result<protocol::SecretBytes> read_new_passphrase(const std::optional<std::string>& file);

// What a new passphrase costs on this machine (machine.hpp), or with the memory of $LADDERLINE_PASSPHRASE_MEMORY_MIB,
// 8 to 1024.
protocol::PassphraseCost passphrase_cost();

// An opened store with its owner. Neither copied nor moved: the context refers to its members.
struct OpenHome {
    std::filesystem::path folder;
    store::RealDisk disk;
    store::vault::SlotType opened_by = store::vault::SlotType::passphrase;
    std::unique_ptr<store::Store> store;
    std::optional<store::Identity> me;
    std::unique_ptr<Context> context;  // once there is an owner
};
Result<std::unique_ptr<OpenHome>> open_home(const std::filesystem::path& folder, const Unlock& unlock, Env& env);
// The context of a store whose identity is loaded; for those who open one in another way.
Result<std::unique_ptr<OpenHome>> with_owner(std::unique_ptr<OpenHome> home, Env& env);
// Creates the store, its owner's keys and the paper key's slot; `begin` (commands/circles.hpp) does the rest. refused:
// there is an owner.
Result<std::unique_ptr<OpenHome>> create_home(const std::filesystem::path& folder, ByteView passphrase, Env& env);

}  // namespace ladderline::node
