#pragma once
// The key file of a store, in two copies beside the database: "keys" and "keys.copy" (format: key_slots.hpp).

#include <filesystem>
#include <span>

#include "store/disk.hpp"
#include "store/vault/key_slots.hpp"

namespace ladderline::store::vault {

// What a slot is sealed with; `cost` counts for a passphrase.
struct SlotSecret {
    SlotType type = SlotType::passphrase;
    ByteView secret;
    protocol::PassphraseCost cost;
};

// An opened key file: the data key is proven. Each type of slot is there at most once.
// A write goes to one copy, then to the other, each replaced whole. The newest undamaged copy counts; if the secret
// does not open it the other is tried, so that a change cut off in the middle locks nobody out.
class KeyFile {
public:
    // A new store: draws its data key and id. refused: there is one already, untouched.
    static Result<KeyFile> create(Disk& disk, const std::filesystem::path& folder, ByteView passphrase,
                                  const protocol::PassphraseCost& cost, Random& random);

    // wrong_key: "That passphrase does not open this store; nothing was changed. Try again." not_found: no store here,
    // or no slot of this type. damaged: both copies. After success a copy that was damaged or behind has been mended if
    // the disk allowed it. busy: another program is changing the copies; nothing was written.
    static Result<KeyFile> open(Disk& disk, const std::filesystem::path& folder, SlotType type, ByteView secret);
    static Result<KeyFile> open(Disk& disk, const std::filesystem::path& folder, ByteView passphrase) {
        return open(disk, folder, SlotType::passphrase, passphrase);
    }

    const protocol::AeadKey& data_key() const { return data_key_; }
    // True if both copies on the disk say the same as this object.
    bool is_settled() const { return is_settled_; }
    const std::vector<KeySlot>& slots() const { return slots_.slots; }
    const StoreId& store_id() const { return slots_.store_id; }
    bool has(SlotType type) const { return slots_.find(type) != nullptr; }

    // Adds a slot, or replaces the one of this type (a new passphrase). The database is untouched, and so are old
    // copies of the key file elsewhere: they still open with the old secret.
    Result<void> set_slot(Disk& disk, SlotType type, ByteView secret, const protocol::PassphraseCost& cost,
                          Random& random);
    // Both copies into another folder, for a backup of the store. After an error one of them may be there.
    Result<void> write_to(Disk& disk, const std::filesystem::path& folder) const;
    // refused: it is the last slot.
    Result<void> remove_slot(Disk& disk, SlotType type);

    // The same store under a fresh data key, with slots for these secrets alone (one at least). Nothing is written.
    Result<KeyFile> with_new_data_key(std::span<const SlotSecret> secrets, Random& random) const;
    // Puts what this object holds on the disk, newer than `replaced` says it is there. After an error either may be.
    Result<void> write_over(Disk& disk, const KeyFile& replaced);

private:
    KeyFile(std::filesystem::path folder, KeySlots slots, protocol::AeadKey data_key)
        : folder_(std::move(folder)), slots_(std::move(slots)), data_key_(std::move(data_key)) {}

    Result<void> store(Disk& disk, KeySlots changed);

    std::filesystem::path folder_;
    KeySlots slots_;
    protocol::AeadKey data_key_;
    bool is_settled_ = true;
};

// The slots of the newest undamaged copy, for showing which ways into the store there are; nothing is proven.
// not_found: no store here; damaged: both copies.
Result<std::vector<KeySlot>> read_slots(Disk& disk, const std::filesystem::path& folder);

// True if the folder holds a copy of a key file, damaged or not.
Result<bool> has_key_file(Disk& disk, const std::filesystem::path& folder);

}  // namespace ladderline::store::vault
