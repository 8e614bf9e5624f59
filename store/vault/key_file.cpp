#include "store/vault/key_file.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <optional>

namespace ladderline::store::vault {
namespace {

namespace fs = std::filesystem;

constexpr std::array<const char*, 2> copy_names{"keys", "keys.copy"};

struct Found {
    // Undamaged copies that differ, newest first.
    std::vector<KeySlots> copies;
    // A copy is missing, damaged or older than the other.
    bool needs_mending = false;
    // Both as they were read; empty: it could not be.
    std::array<Bytes, copy_names.size()> read;
};

// Held while both copies are written, so that no other program takes them for a change cut off in the middle. Gone with
// the process. A file system without locks of folders, and a folder in memory alone, go without.
class FolderLock {
public:
    enum class If { taken_wait, taken_leave };

    FolderLock(const fs::path& folder, If how)
        : number_(::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
        if (number_ < 0) return;
        const int operation = how == If::taken_wait ? LOCK_EX : LOCK_EX | LOCK_NB;
        int outcome = ::flock(number_, operation);
        while (outcome != 0 && errno == EINTR) outcome = ::flock(number_, operation);
        is_others_ = outcome != 0 && errno == EWOULDBLOCK;
    }
    FolderLock(const FolderLock&) = delete;
    FolderLock& operator=(const FolderLock&) = delete;
    ~FolderLock() {
        if (number_ >= 0) ::close(number_);
    }
    bool is_others() const { return is_others_; }

private:
    int number_;
    bool is_others_ = false;
};

Result<Found> read_copies(Disk& disk, const fs::path& folder) {
    Found found;
    std::optional<Error> failed;
    for (std::size_t copy = 0; copy < copy_names.size(); ++copy) {
        Result<Bytes> bytes = disk.read(folder / copy_names[copy]);
        if (bytes) found.read[copy] = bytes.value();
        Result<KeySlots> slots = bytes ? decode_key_slots(bytes.value()) : Result<KeySlots>(bytes.error());
        if (slots) {
            found.copies.push_back(std::move(slots).value());
            continue;
        }
        // Damage says more to a person than a copy that is not there.
        if (!failed || failed->fault() == Fault::not_found) failed = slots.error();
        found.needs_mending = true;
    }
    if (found.copies.empty() && failed->fault() == Fault::not_found) {
        return Error{Fault::not_found, "There is no store in " + folder.string() +
                                           "; nothing was made. Check the folder, or make a new store."};
    }
    if (found.copies.empty()) return *failed;
    if (found.copies.size() == 2) {
        if (found.copies[0].generation < found.copies[1].generation) std::swap(found.copies[0], found.copies[1]);
        const bool same = encode(found.copies[0]) == encode(found.copies[1]);
        found.needs_mending = !same;
        if (same) found.copies.pop_back();
    }
    return found;
}

Result<void> write_copies(Disk& disk, const fs::path& folder, const KeySlots& slots) {
    const Bytes bytes = encode(slots);
    TRY(disk.write_atomically(folder / copy_names[0], bytes));
    if (disk.write_atomically(folder / copy_names[1], bytes)) return ok();
    return Error{
        Fault::disk,
        "Only one of the two copies of the key file could be written, so the old and the new way both open this "
        "store for now; make room on the disk and make the change again."};
}

// Since `found` was read a passphrase was worked on, for seconds: what differed may have been another program's change,
// done by now. False: the disk does not allow it.
Result<bool> mend_copies(Disk& disk, const fs::path& folder, const Found& found, const KeySlots& slots) {
    const FolderLock lock(folder, FolderLock::If::taken_leave);
    TRY(const Found now, read_copies(disk, folder));
    // The disk failed to read a copy just then, and it is whole.
    if (!now.needs_mending && encode(now.copies.front()) == encode(slots)) return true;
    if (lock.is_others() || now.read != found.read) {
        return Error{Fault::busy,
                     "The key file of this store is being changed by another Ladderline; nothing was changed here. Try "
                     "again in a moment."};
    }
    return write_copies(disk, folder, slots).has_value();
}

Result<void> demand_no_store(Disk& disk, const fs::path& folder) {
    TRY(const bool is_there, has_key_file(disk, folder));
    if (!is_there) return ok();
    return Error{Fault::refused, "There is a store in " + folder.string() +
                                     " already; nothing was changed. Open it, or choose another folder."};
}

Error no_slot(SlotType type) {
    const char* what = type == SlotType::paper ? "paper key" : type == SlotType::key_file ? "key file" : "passphrase";
    return {Fault::not_found, std::string("This store has no ") + what + "; nothing was changed. Open it another way."};
}

}  // namespace

Result<KeyFile> KeyFile::create(Disk& disk, const fs::path& folder, ByteView passphrase,
                                const protocol::PassphraseCost& cost, Random& random) {
    TRY(demand_no_store(disk, folder));
    KeySlots slots;
    slots.store_id = random.draw<StoreId>();
    protocol::AeadKey data_key = protocol::AeadKey::random(random);
    TRY(const KeySlot slot, seal_slot(SlotType::passphrase, passphrase, cost, slots.store_id, data_key, random));
    slots.generation = 1;
    slots.put(slot);
    // The passphrase was worked on for seconds, in which another program may have made a store here. Whoever writes
    // second would take its key away.
    const FolderLock lock(folder, FolderLock::If::taken_wait);
    TRY(demand_no_store(disk, folder));
    Result<void> written = write_copies(disk, folder, slots);
    if (!written) {
        for (const char* name : copy_names) static_cast<void>(disk.remove(folder / name).has_value());
        return Error{Fault::disk,
                     "The disk did not take the key file, so no store was made; check the disk and try again."};
    }
    return KeyFile(folder, std::move(slots), std::move(data_key));
}

Result<KeyFile> KeyFile::open(Disk& disk, const fs::path& folder, SlotType type, ByteView secret) {
    TRY(Found found, read_copies(disk, folder));
    std::optional<Error> failed;
    for (KeySlots& slots : found.copies) {
        const KeySlot* slot = slots.find(type);
        if (slot == nullptr) {
            if (!failed) failed = no_slot(type);
            continue;
        }
        Result<protocol::AeadKey> data_key = open_slot(*slot, secret, slots.store_id);
        if (!data_key) {
            if (!failed) failed = std::move(data_key).error();
            continue;
        }
        KeyFile opened(folder, std::move(slots), std::move(data_key).value());
        // The store opens all the same if the disk does not allow it.
        if (found.needs_mending) {
            TRY(opened.is_settled_, mend_copies(disk, folder, found, opened.slots_));
        }
        return opened;
    }
    return *failed;
}

Result<void> KeyFile::store(Disk& disk, KeySlots changed) {
    ++changed.generation;
    const FolderLock lock(folder_, FolderLock::If::taken_wait);
    TRY(write_copies(disk, folder_, changed));
    slots_ = std::move(changed);
    is_settled_ = true;
    return ok();
}

Result<void> KeyFile::set_slot(Disk& disk, SlotType type, ByteView secret, const protocol::PassphraseCost& cost,
                               Random& random) {
    TRY(const KeySlot slot, seal_slot(type, secret, cost, slots_.store_id, data_key_, random));
    KeySlots changed = slots_;
    changed.put(slot);
    return store(disk, std::move(changed));
}

Result<void> KeyFile::remove_slot(Disk& disk, SlotType type) {
    if (!has(type)) return no_slot(type);
    if (slots_.slots.size() == 1) {
        return Error{Fault::refused,
                     "This is the only way into the store, so it stays; nothing was changed. Add another first."};
    }
    KeySlots changed = slots_;
    std::erase_if(changed.slots, [&](const KeySlot& s) { return s.type == type; });
    return store(disk, std::move(changed));
}

Result<void> KeyFile::write_to(Disk& disk, const fs::path& folder) const {
    const Bytes bytes = encode(slots_);
    for (const char* name : copy_names) {
        TRY(disk.write_atomically(folder / name, bytes));
    }
    return ok();
}

Result<KeyFile> KeyFile::with_new_data_key(std::span<const SlotSecret> secrets, Random& random) const {
    ENSURE(!secrets.empty());
    KeySlots slots;
    slots.store_id = slots_.store_id;
    slots.generation = slots_.generation;
    protocol::AeadKey data_key = protocol::AeadKey::random(random);
    for (const SlotSecret& s : secrets) {
        TRY(const KeySlot slot, seal_slot(s.type, s.secret, s.cost, slots.store_id, data_key, random));
        slots.put(slot);
    }
    return KeyFile(folder_, std::move(slots), std::move(data_key));
}

Result<void> KeyFile::write_over(Disk& disk, const KeyFile& replaced) {
    // One more than the other may have reached in a write that failed half-way.
    slots_.generation = std::max(slots_.generation, replaced.slots_.generation) + 1;
    KeySlots changed = slots_;
    return store(disk, std::move(changed));
}

Result<std::vector<KeySlot>> read_slots(Disk& disk, const fs::path& folder) {
    TRY(Found found, read_copies(disk, folder));
    return std::move(found.copies.front().slots);
}

Result<bool> has_key_file(Disk& disk, const fs::path& folder) {
    for (const char* name : copy_names) {
        TRY(const bool found, disk.exists(folder / name));
        if (found) return true;
    }
    return false;
}

}  // namespace ladderline::store::vault
