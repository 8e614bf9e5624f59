#pragma once
// One person's store on a disk that can fail: what it was told, what it acknowledged, and whether it kept that.

#include <set>

#include "store/store.hpp"
#include "tests/crash/life/small_files.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/person.hpp"

namespace ladderline::test {

struct Snapshot {
    Files database;
    Files small;
};

// What the store said yes to. A step that failed may be there whole or not at all.
struct Ledger {
    bool made = false;
    std::multiset<std::string> notes;
    std::multiset<std::string> under_way;
    std::string passphrase = "seven made-up words of a test";
    std::optional<std::string> next_passphrase;
    bool copied = false;

    // Runs `step`, which stores these notes; on success they are acknowledged.
    template <class Step>
    Result<void> acknowledge(std::multiset<std::string> texts, Step step) {
        under_way = std::move(texts);
        TRY(step());
        notes.merge(under_way);
        under_way.clear();
        return ok();
    }
};

// The disk, and what opens a store on it.
class Life {
public:
    explicit Life(const Snapshot& from, std::uint64_t seed = 5);

    Result<std::unique_ptr<store::Store>> open(const std::string& passphrase, std::int64_t note_version = 1);
    Result<std::unique_ptr<store::Store>> create(const std::string& passphrase);
    Snapshot now() const { return {vfs.files(), disk.files()}; }
    Snapshot after_power_cut(SeededRandom& chance) const;

    MemoryVfs vfs;
    SmallFiles disk;
    SeededRandom random;
};

inline const std::string home_folder = "/mem";
inline const std::string copy_of_store = "/mem/copy.db";
inline constexpr WallTime life_now{1'700'000'000'000};

// The people and keys of all lives here, and what a peer would send.
struct Cast {
    SeededRandom random{2026};
    Person ada = make_person("Ada", random);
    Person ben = make_person("Ben", random);
    protocol::AeadKey later_key = protocol::AeadKey::random(random);
    protocol::AeadKey copy_key = protocol::AeadKey::random(random);
    protocol::CircleId circle;        // ada's, whose key the store holds
    protocol::CircleId later_circle;  // whose key arrives later; its events wait
    std::optional<LogWriter> bens_log;
    // The store at the beginning of every script but the one that makes it, and what it holds then.
    Snapshot start;
    Ledger ledger;
    std::multiset<std::string> waiting;
};

const Cast& cast();

// The read models of these stores besides the circle model.
std::vector<std::unique_ptr<store::ReadModel>> life_models(std::int64_t note_version = 1);

store::NewEvent note_in(const protocol::CircleId& circle, std::string_view text);

// Empty if this store keeps its word: its tables are sound, its chains hold, its read model says what its events say,
// all of `ledger.notes` is there and besides nothing, or the step under way whole. Else what is wrong. A step under way
// is acknowledged from then on, or forgotten.
Result<std::string> examine(store::Store& store, Ledger& ledger);

// The same for the store on this disk, which must open, too, and for its copy.
std::string verdict(Life& life, Ledger& ledger);

}  // namespace ladderline::test
