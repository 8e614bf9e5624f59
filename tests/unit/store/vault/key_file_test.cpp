#include "store/vault/key_file.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <functional>
#include <optional>

#include "tests/support/protocol/seeded_random.hpp"
#include "tests/support/scratch.hpp"
#include "tests/support/store/memory_disk.hpp"

using namespace ladderline;
using namespace ladderline::store::vault;
using namespace ladderline::test;

namespace {

constexpr protocol::PassphraseCost quick{1, 8};
const std::filesystem::path folder = "/mem/club";
const auto first_copy = folder / "keys";
const auto second_copy = folder / "keys.copy";
const ByteView passphrase = as_bytes("fifteen metres at noon");
const ByteView other_passphrase = as_bytes("forty metres at night");
const Bytes paper_key{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16};

struct Bench {
    MemoryDisk disk;
    SeededRandom random{8};
    KeyFile created = KeyFile::create(disk, folder, passphrase, quick, random).value();

    Bytes key() const { return to_bytes(created.data_key().view()); }
    Result<KeyFile> open(ByteView secret = passphrase) { return KeyFile::open(disk, folder, secret); }
};

}  // namespace

TEST_CASE("the passphrase opens the data key and the store id of the store it made") {
    Bench bench;
    const KeyFile opened = bench.open().value();
    CHECK(to_bytes(opened.data_key().view()) == bench.key());
    CHECK(opened.store_id() == bench.created.store_id());
    CHECK_FALSE(opened.store_id().is_zero());
}

TEST_CASE("two stores have different keys and ids, also under the same passphrase") {
    Bench first;
    const KeyFile second = KeyFile::create(first.disk, folder / "second", passphrase, quick, first.random).value();
    CHECK(to_bytes(second.data_key().view()) != first.key());
    CHECK(second.store_id() != first.created.store_id());
}

TEST_CASE("a wrong passphrase is said so, and nothing is written") {
    Bench bench;
    const auto before = bench.disk.files;
    const auto opened = bench.open(other_passphrase);
    REQUIRE_FALSE(opened);
    CHECK(opened.error().fault() == Fault::wrong_key);
    CHECK(opened.error().sentence() == "That passphrase does not open this store; nothing was changed. Try again.");
    CHECK(bench.disk.files == before);
}

TEST_CASE("an existing key file is not written over") {
    Bench bench;
    const auto before = bench.disk.files;
    const auto again = KeyFile::create(bench.disk, folder, other_passphrase, quick, bench.random);
    REQUIRE_FALSE(again);
    CHECK(again.error().fault() == Fault::refused);
    CHECK(bench.disk.files == before);
}

TEST_CASE("a folder without key file is not a store") {
    MemoryDisk disk;
    const auto opened = KeyFile::open(disk, folder, passphrase);
    REQUIRE_FALSE(opened);
    CHECK(opened.error().fault() == Fault::not_found);
    CHECK_FALSE(has_key_file(disk, folder).value());
}

TEST_CASE("each byte of both copies changed is damage, never a wrong passphrase and never another key") {
    Bench bench;
    const Bytes whole = bench.disk.files.at(first_copy);
    REQUIRE(whole == bench.disk.files.at(second_copy));
    for (std::size_t at = 0; at < whole.size(); ++at) {
        CAPTURE(at);
        Bytes changed = whole;
        changed[at] ^= 0x41;
        bench.disk.files[first_copy] = changed;
        bench.disk.files[second_copy] = changed;
        const auto opened = bench.open();
        REQUIRE_FALSE(opened);
        CHECK(opened.error().fault() == Fault::damaged);
    }
}

TEST_CASE("a key file cut off anywhere is damage") {
    Bench bench;
    const Bytes whole = bench.disk.files.at(first_copy);
    for (std::size_t length = 0; length < whole.size(); ++length) {
        CAPTURE(length);
        bench.disk.files[first_copy].assign(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(length));
        bench.disk.files[second_copy] = bench.disk.files[first_copy];
        CHECK(bench.open().error().fault() == Fault::damaged);
    }
}

TEST_CASE("one copy damaged or lost: the other opens, and mends it") {
    for (const auto& victim : {first_copy, second_copy}) {
        CAPTURE(victim.string());
        for (const bool lost : {false, true}) {
            Bench bench;
            const auto whole = bench.disk.files;
            if (lost) {
                bench.disk.files.erase(victim);
            } else {
                bench.disk.files[victim][50] ^= 1;
            }
            CHECK(to_bytes(bench.open().value().data_key().view()) == bench.key());
            CHECK(bench.disk.files == whole);
        }
    }
}

TEST_CASE("a damaged copy is not mended for a wrong passphrase") {
    Bench bench;
    bench.disk.files[first_copy][50] ^= 1;
    const auto before = bench.disk.files;
    CHECK(bench.open(other_passphrase).error().fault() == Fault::wrong_key);
    CHECK(bench.disk.files == before);
}

TEST_CASE("the paper key opens the same data key") {
    Bench bench;
    CHECK(KeyFile::open(bench.disk, folder, SlotType::paper, paper_key).error().fault() == Fault::not_found);
    REQUIRE(bench.created.set_slot(bench.disk, SlotType::paper, paper_key, quick, bench.random));
    const KeyFile opened = KeyFile::open(bench.disk, folder, SlotType::paper, paper_key).value();
    CHECK(to_bytes(opened.data_key().view()) == bench.key());
    CHECK(bench.open().has_value());
    Bytes wrong = paper_key;
    wrong[0] ^= 1;
    CHECK(KeyFile::open(bench.disk, folder, SlotType::paper, wrong).error().fault() == Fault::wrong_key);
}

TEST_CASE("a key file slot opens the store unattended") {
    Bench bench;
    const Bytes secret(32, 0x5a);
    REQUIRE(bench.created.set_slot(bench.disk, SlotType::key_file, secret, quick, bench.random));
    const KeyFile opened = KeyFile::open(bench.disk, folder, SlotType::key_file, secret).value();
    CHECK(to_bytes(opened.data_key().view()) == bench.key());
    // The same bytes typed as a passphrase or a paper key do not.
    CHECK_FALSE(KeyFile::open(bench.disk, folder, SlotType::paper, secret));
    CHECK_FALSE(bench.open(secret));
}

TEST_CASE("a new passphrase opens the same data key, the old one no more") {
    Bench bench;
    REQUIRE(bench.created.set_slot(bench.disk, SlotType::passphrase, other_passphrase, quick, bench.random));
    CHECK(bench.open(passphrase).error().fault() == Fault::wrong_key);
    CHECK(to_bytes(bench.open(other_passphrase).value().data_key().view()) == bench.key());
}

TEST_CASE("a slot can be removed, the last one not") {
    Bench bench;
    CHECK(bench.created.remove_slot(bench.disk, SlotType::passphrase).error().fault() == Fault::refused);
    REQUIRE(bench.created.set_slot(bench.disk, SlotType::paper, paper_key, quick, bench.random));
    REQUIRE(bench.created.remove_slot(bench.disk, SlotType::paper));
    CHECK_FALSE(bench.created.has(SlotType::paper));
    CHECK(KeyFile::open(bench.disk, folder, SlotType::paper, paper_key).error().fault() == Fault::not_found);
}

TEST_CASE("a change of passphrase that the disk cuts off at any call locks nobody out") {
    for (int call = 1; call <= 3; ++call) {
        CAPTURE(call);
        Bench bench;
        bench.disk.fail_at(call);
        const bool stored =
            bench.created.set_slot(bench.disk, SlotType::passphrase, other_passphrase, quick, bench.random).has_value();
        bench.disk.fail_at(0);
        CHECK(stored == (call == 3));  // two writes
        const bool old_opens = KeyFile::open(bench.disk, folder, passphrase).has_value();
        CHECK(old_opens == !stored);
        if (stored) CHECK(bench.open(other_passphrase).has_value());
    }
}

TEST_CASE("a creation that the disk cuts off at any call can be tried again") {
    for (int call = 1; call <= 6; ++call) {
        CAPTURE(call);
        MemoryDisk disk;
        SeededRandom random(8);
        disk.fail_at(call);
        CHECK(KeyFile::create(disk, folder, passphrase, quick, random).error().fault() == Fault::disk);
        disk.fail_at(0);
        CHECK(KeyFile::create(disk, folder, passphrase, quick, random).has_value());
    }
}

TEST_CASE("an empty passphrase and a cost out of range are refused before anything is written") {
    MemoryDisk disk;
    SeededRandom random(8);
    CHECK(KeyFile::create(disk, folder, ByteView(), quick, random).error().fault() == Fault::bad_input);
    CHECK(KeyFile::create(disk, folder, passphrase, {0, 8}, random).error().fault() == Fault::bad_input);
    CHECK(KeyFile::create(disk, folder, passphrase, {1, 7}, random).error().fault() == Fault::bad_input);
    CHECK(KeyFile::create(disk, folder, passphrase, {1, 2 * 1024 * 1024}, random).error().fault() == Fault::bad_input);
    CHECK(disk.files.empty());
}

TEST_CASE("where one copy of two cannot be written for a backup, it is told as the disk told it") {
    Bench bench;
    bench.disk.fail_at(2);
    const auto written = bench.created.write_to(bench.disk, "/mem/backup");
    REQUIRE_FALSE(written.has_value());
    CHECK(written.error().sentence() == "The disk failed, as the test asked.");
}

namespace {

// Another program's step happens after the second copy was read, and before each write.
class BusyDisk : public MemoryDisk {
public:
    Result<Bytes> read(const std::filesystem::path& path) override {
        Result<Bytes> out = MemoryDisk::read(path);
        if (path == second_copy && after_read) std::exchange(after_read, {})();
        return out;
    }
    Result<void> write_atomically(const std::filesystem::path& path, ByteView bytes) override {
        if (before_write) before_write();
        return MemoryDisk::write_atomically(path, bytes);
    }
    Result<bool> exists(const std::filesystem::path& path) override {
        Result<bool> out = MemoryDisk::exists(path);
        if (path.filename() == second_copy.filename() && after_look) std::exchange(after_look, {})();
        return out;
    }
    std::function<void()> after_read;
    std::function<void()> after_look;
    std::function<void()> before_write;
};

// False if somebody has the lock of the folder.
bool takes_lock(const std::filesystem::path& of, int& held) {
    held = ::open(of.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    REQUIRE(held >= 0);
    return ::flock(held, LOCK_EX | LOCK_NB) == 0;
}

}  // namespace

TEST_CASE("a change that another program finishes while this one opens the old copy is not undone") {
    Bench bench;
    const Bytes old = bench.disk.files[second_copy];
    REQUIRE(bench.created.set_slot(bench.disk, SlotType::passphrase, other_passphrase, quick, bench.random));
    const auto changed = bench.disk.files;
    BusyDisk disk;
    disk.files = changed;
    disk.files[second_copy] = old;
    disk.after_read = [&] { disk.files = changed; };
    const auto opened = KeyFile::open(disk, folder, passphrase);
    REQUIRE_FALSE(opened.has_value());
    CHECK(opened.error().fault() == Fault::busy);
    CHECK(disk.files == changed);
    CHECK(KeyFile::open(disk, folder, other_passphrase).has_value());
}

TEST_CASE(
    "of two programs that make a store in one folder at once the second is refused, and the first keeps its key") {
    BusyDisk disk;
    SeededRandom random{11};
    SeededRandom other_random{12};
    std::optional<KeyFile> first;
    disk.after_look = [&] {
        first.emplace(KeyFile::create(disk, folder, other_passphrase, quick, other_random).value());
    };
    const auto second = KeyFile::create(disk, folder, passphrase, quick, random);
    REQUIRE_FALSE(second.has_value());
    CHECK(second.error().fault() == Fault::refused);
    CHECK(second.error().sentence() ==
          "There is a store in /mem/club already; nothing was changed. Open it, or choose another folder.");
    const KeyFile opened = KeyFile::open(disk, folder, other_passphrase).value();
    CHECK(opened.is_settled());
    CHECK(to_bytes(opened.data_key().view()) == to_bytes(first->data_key().view()));
}

TEST_CASE("nobody else makes a store in a folder while one is made there") {
    const ScratchFolder scratch{"keys"};
    const std::filesystem::path place = scratch / "";
    BusyDisk disk;
    SeededRandom random{13};
    int writes = 0;
    disk.before_write = [&] {
        ++writes;
        int other = -1;
        CHECK_FALSE(takes_lock(place, other));
        ::close(other);
    };
    REQUIRE(KeyFile::create(disk, place, passphrase, quick, random).has_value());
    CHECK(writes == 2);
}

TEST_CASE("nobody else mends the copies while they are written, or writes them while they are mended") {
    const ScratchFolder scratch{"keys"};
    const std::filesystem::path place = scratch / "";
    BusyDisk disk;
    SeededRandom random{9};
    KeyFile keys = KeyFile::create(disk, place, passphrase, quick, random).value();
    const Bytes old = disk.files[place / "keys.copy"];
    int writes = 0;
    disk.before_write = [&] {
        ++writes;
        int other = -1;
        CHECK_FALSE(takes_lock(place, other));
        ::close(other);
    };
    REQUIRE(keys.set_slot(disk, SlotType::passphrase, other_passphrase, quick, random));
    CHECK(writes == 2);
    disk.files[place / "keys.copy"] = old;
    CHECK(KeyFile::open(disk, place, other_passphrase).value().is_settled());
    CHECK(writes == 4);
}

TEST_CASE("copies that differ while another program writes them are left to it") {
    const ScratchFolder scratch{"keys"};
    const std::filesystem::path place = scratch / "";
    MemoryDisk disk;
    SeededRandom random{10};
    KeyFile keys = KeyFile::create(disk, place, passphrase, quick, random).value();
    const Bytes old = disk.files[place / "keys.copy"];
    REQUIRE(keys.set_slot(disk, SlotType::passphrase, other_passphrase, quick, random));
    disk.files[place / "keys.copy"] = old;
    const auto before = disk.files;
    int held = -1;
    REQUIRE(takes_lock(place, held));
    for (const ByteView words : {passphrase, other_passphrase}) {
        const auto opened = KeyFile::open(disk, place, words);
        REQUIRE_FALSE(opened.has_value());
        CHECK(opened.error().fault() == Fault::busy);
        CHECK(disk.files == before);
    }
    ::close(held);
    CHECK(KeyFile::open(disk, place, other_passphrase).has_value());
}
