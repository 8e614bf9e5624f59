// A new data key: at every point at which it is cut off, one pair of key file and database opens, with all that was
// stored.

#include <doctest/doctest.h>

#include "store/settings/settings.hpp"
#include "store/store.hpp"
#include "tests/support/store/memory_disk.hpp"
#include "tests/support/store/memory_vfs.hpp"

using namespace ladderline;
using namespace ladderline::store;
using namespace ladderline::test;
using vault::SlotType;

namespace {

constexpr protocol::PassphraseCost quick{1, 8};
const std::string old_words = "fifteen metres at noon";
const std::string new_words = "forty metres at night";
const Bytes paper(16, 0x21);
const Bytes key_file(32, 0x5a);
const std::string first_file = "/mem/store.db";
const std::string second_file = "/mem/store.2.db";

using SmallFiles = std::map<std::filesystem::path, Bytes>;

struct Bench {
    MemoryVfs memory;
    MemoryDisk disk;
    SeededRandom random{44};

    explicit Bench(Files files = {}, SmallFiles keys = {}) : memory(std::move(files)) { disk.files = std::move(keys); }

    StoreFolder where() const { return {"/mem", memory.name()}; }

    void begin() {
        auto made = Store::create(disk, where(), as_bytes(old_words), quick, random, {});
        if (!made) FAIL(made.error().sentence());
        const Bytes text(20'000, 7);  // several pages
        REQUIRE(put_setting(made.value()->db(), "kept", text).has_value());
    }
    Result<std::unique_ptr<Store>> open(std::string_view words) {
        return Store::open(disk, where(), as_bytes(words), random, {});
    }
    std::unique_ptr<Store> must_open(std::string_view words) {
        auto opened = open(words);
        if (!opened) FAIL(opened.error().sentence());
        return std::move(opened).value();
    }
    Result<void> renew(const Progress& progress = {}) {
        const vault::SlotSecret secrets[] = {{SlotType::passphrase, as_bytes(new_words), quick}};
        return Store::renew_data_key(must_open(old_words), disk, secrets, random, progress);
    }
    bool holds_everything(std::string_view words) {
        const auto store = open(words);
        if (!store) return false;
        const auto kept = get_setting(store.value()->db(), "kept");
        const auto whole = store.value()->db().query("PRAGMA integrity_check", [](const sqlite::Row&) {});
        return whole && kept && kept.value() && kept.value()->size() == 20'000;
    }
    // How many of the two passphrases open it, each tried on the files as they are now.
    int ways_that_hold_everything() const {
        int ways = 0;
        for (const std::string& words : {old_words, new_words}) {
            Bench again(memory.files(), disk.files);
            ways += again.holds_everything(words) ? 1 : 0;
        }
        return ways;
    }
};

}  // namespace

TEST_CASE("under a new data key everything is there, the old passphrase and the old key file open nothing") {
    Bench bench;
    bench.begin();
    const SmallFiles old_keys = bench.disk.files;
    const auto renewed = bench.renew();
    if (!renewed) FAIL(renewed.error().sentence());
    CHECK(bench.holds_everything(new_words));
    CHECK(bench.open(old_words).error().fault() == Fault::wrong_key);
    CHECK_FALSE(bench.memory.exists(first_file));
    Bench thief(bench.memory.files(), old_keys);
    CHECK(thief.open(old_words).error().fault() == Fault::wrong_key);
}

TEST_CASE("a data key can be renewed again and again, and one database file is left each time") {
    Bench bench;
    bench.begin();
    for (int round = 0; round < 3; ++round) {
        CAPTURE(round);
        const vault::SlotSecret secrets[] = {{SlotType::passphrase, as_bytes(old_words), quick}};
        REQUIRE(Store::renew_data_key(bench.must_open(old_words), bench.disk, secrets, bench.random).has_value());
        CHECK(bench.holds_everything(old_words));
        CHECK(bench.memory.exists(first_file) != bench.memory.exists(second_file));
    }
}

TEST_CASE("ways in whose secret was given open the renewed store, the others are gone") {
    Bench bench;
    bench.begin();
    {
        const auto store = bench.must_open(old_words);
        REQUIRE(store->keys().set_slot(bench.disk, SlotType::paper, paper, quick, bench.random).has_value());
        REQUIRE(store->keys().set_slot(bench.disk, SlotType::key_file, key_file, quick, bench.random).has_value());
    }
    const vault::SlotSecret secrets[] = {{SlotType::passphrase, as_bytes(new_words), quick},
                                         {SlotType::key_file, key_file, {0, 0}}};
    REQUIRE(Store::renew_data_key(bench.must_open(old_words), bench.disk, secrets, bench.random).has_value());
    CHECK(bench.holds_everything(new_words));
    CHECK(Store::open(bench.disk, bench.where(), SlotType::key_file, key_file, bench.random, {}).has_value());
    CHECK(Store::open(bench.disk, bench.where(), SlotType::paper, paper, bench.random, {}).error().fault() ==
          Fault::not_found);
}

TEST_CASE("a renewal that is stopped changes no key and no page") {
    Bench bench;
    bench.begin();
    const SmallFiles keys = bench.disk.files;
    const Files before = bench.memory.files();
    const auto renewed = bench.renew([](std::uint64_t, std::uint64_t) { return false; });
    CHECK(renewed.error().fault() == Fault::cancelled);
    for (const char* name : {"/mem/keys", "/mem/keys.copy"}) CHECK(bench.disk.files.at(name) == keys.at(name));
    CHECK(bench.memory.files() == before);
    CHECK(bench.holds_everything(old_words));
}

TEST_CASE("an empty new passphrase is refused and changes no file") {
    Bench bench;
    bench.begin();
    const Files before = bench.memory.files();
    const vault::SlotSecret secrets[] = {{SlotType::passphrase, ByteView(), quick}};
    const auto renewed = Store::renew_data_key(bench.must_open(old_words), bench.disk, secrets, bench.random);
    CHECK(renewed.error().fault() == Fault::bad_input);
    CHECK(bench.memory.files() == before);
}

TEST_CASE("a renewal whose key file the disk refuses at any call leaves exactly one way in, with everything") {
    for (int call = 1; call <= 8; ++call) {
        CAPTURE(call);
        Bench bench;
        bench.begin();
        auto store = bench.must_open(old_words);
        const vault::SlotSecret secrets[] = {{SlotType::passphrase, as_bytes(new_words), quick}};
        bench.disk.fail_at(call);
        const auto renewed = Store::renew_data_key(std::move(store), bench.disk, secrets, bench.random);
        bench.disk.fail_at(0);
        CHECK(renewed.has_value() == (call > 2));  // two copies are written
        if (!renewed) CHECK(renewed.error().sentence().find("the old one stays in force") != std::string::npos);
        CHECK(bench.ways_that_hold_everything() == 1);
        CHECK(bench.holds_everything(renewed ? new_words : old_words));
    }
}

namespace {

// The first write that fails has replaced the file all the same, as one whose folder could not be synced; the others
// that fail have not.
class LateDisk : public Disk {
public:
    explicit LateDisk(MemoryDisk& below) : below_(below) {}
    Result<bool> exists(const std::filesystem::path& path) override { return below_.exists(path); }
    Result<Bytes> read(const std::filesystem::path& path) override { return below_.read(path); }
    Result<void> write_atomically(const std::filesystem::path& path, ByteView bytes) override {
        ++writes_;
        if (writes_ <= first_failing || writes_ > last_failing) {
            TRY(below_.write_atomically(path, bytes));
        }
        if (writes_ < first_failing || writes_ > last_failing) return ok();
        return Error{Fault::disk, "The disk failed late, as the test asked."};
    }
    Result<void> patch(const std::filesystem::path& path, std::size_t offset, ByteView bytes, bool flush) override {
        return below_.patch(path, offset, bytes, flush);
    }
    Result<void> remove(const std::filesystem::path& path) override { return below_.remove(path); }
    Result<std::vector<std::string>> list(const std::filesystem::path& folder) override { return below_.list(folder); }
    Result<void> make_folder(const std::filesystem::path& folder) override { return below_.make_folder(folder); }

    int first_failing = 0;
    int last_failing = 0;

private:
    MemoryDisk& below_;
    int writes_ = 0;
};

}  // namespace

TEST_CASE("the same passphrase again: whatever writes of the key file fail, even after they were made, it opens all") {
    const vault::SlotSecret secrets[] = {{SlotType::passphrase, as_bytes(old_words), quick}};
    for (int first = 1; first <= 5; ++first) {
        for (int last = first; last <= 5; ++last) {
            CAPTURE(first);
            CAPTURE(last);
            Bench bench;
            bench.begin();
            LateDisk late(bench.disk);
            late.first_failing = first;
            late.last_failing = last;
            const auto renewed = Store::renew_data_key(bench.must_open(old_words), late, secrets, bench.random);
            CHECK(renewed.has_value() == (first > 2));  // two copies are written
            CHECK(bench.holds_everything(old_words));
        }
    }
}

TEST_CASE("the same passphrase again: a key file that cannot be written leaves the store as it opened before") {
    const vault::SlotSecret secrets[] = {{SlotType::passphrase, as_bytes(old_words), quick}};
    for (int call = 1; call <= 3; ++call) {
        CAPTURE(call);
        Bench bench;
        bench.begin();
        auto store = bench.must_open(old_words);
        bench.disk.fail_at(call);
        CHECK(Store::renew_data_key(std::move(store), bench.disk, secrets, bench.random).has_value() == (call == 3));
        bench.disk.fail_at(0);
        CHECK(bench.holds_everything(old_words));
        CHECK(bench.memory.exists(first_file) != bench.memory.exists(second_file));
    }
}

TEST_CASE("a renewal whose database the disk refuses at any call leaves exactly one way in, with everything") {
    bool went_through = false;
    for (std::int64_t call = 1; !went_through; ++call) {
        CAPTURE(call);
        for (const DiskFault fault : {DiskFault::io_error, DiskFault::full}) {
            for (const bool lasting : {false, true}) {
                Bench bench;
                bench.begin();
                auto store = bench.must_open(old_words);
                const vault::SlotSecret secrets[] = {{SlotType::passphrase, as_bytes(new_words), quick}};
                bench.memory.arm(fault, call, lasting);
                const auto renewed = Store::renew_data_key(std::move(store), bench.disk, secrets, bench.random);
                went_through = bench.memory.calls() < call;
                bench.memory.disarm();
                CHECK(bench.ways_that_hold_everything() == 1);
                CHECK(bench.holds_everything(renewed ? new_words : old_words));
            }
        }
        REQUIRE(call < 10'000);
    }
}

// The key file's two copies between which a process may end: both old, one of each, both new.
TEST_CASE("a process that ends between any two steps of a renewal leaves a store that opens whole and cleans up") {
    Bench bench;
    bench.begin();
    const SmallFiles old_keys = bench.disk.files;
    const Files old_database = bench.memory.files();
    REQUIRE(bench.renew().has_value());
    const SmallFiles new_keys = bench.disk.files;
    const Bytes new_database = bench.memory.bytes(second_file);
    const Bytes& old_bytes = old_database.at(first_file);

    Files both = old_database;
    both[second_file] = new_database;
    Files half_copied = old_database;
    half_copied[second_file] = Bytes(new_database.begin(), new_database.begin() + 4096);
    std::fill_n(half_copied[second_file].begin(), 24, std::uint8_t{0});  // the clear header is written last
    Files half_removed = both;
    std::fill_n(half_removed[first_file].begin(), old_bytes.size() / 2, std::uint8_t{0});
    SmallFiles mixed = old_keys;
    mixed["/mem/keys"] = new_keys.at("/mem/keys");

    struct Moment {
        const Files& database;
        const SmallFiles& keys;
        const std::string& words;
    };
    const Moment moments[] = {{half_copied, old_keys, old_words}, {both, old_keys, old_words},
                              {both, mixed, new_words},           {both, mixed, old_words},
                              {both, new_keys, new_words},        {half_removed, new_keys, new_words}};
    for (const Moment& moment : moments) {
        Bench after(moment.database, moment.keys);
        CAPTURE(&moment - moments);
        CHECK(after.holds_everything(moment.words));
        CHECK(after.memory.exists(first_file) != after.memory.exists(second_file));
        CHECK(after.holds_everything(moment.words));
        CHECK(after.ways_that_hold_everything() == 1);
    }
}

TEST_CASE("a wrong passphrase in the middle of a renewal changes no file") {
    Bench bench;
    bench.begin();
    const SmallFiles old_keys = bench.disk.files;
    Files both = bench.memory.files();
    REQUIRE(bench.renew().has_value());
    both[second_file] = bench.memory.bytes(second_file);
    SmallFiles mixed = old_keys;
    mixed["/mem/keys"] = bench.disk.files.at("/mem/keys");
    Bench after(both, mixed);
    CHECK(after.open("some other words").error().fault() == Fault::wrong_key);
    CHECK(after.memory.files() == both);
    CHECK(after.disk.files == mixed);
}

TEST_CASE("a renewal cut off between the key file's copies is not worked on while the disk takes no writing") {
    Bench bench;
    bench.begin();
    const SmallFiles old_keys = bench.disk.files;
    Files both = bench.memory.files();
    REQUIRE(bench.renew().has_value());
    both[second_file] = bench.memory.bytes(second_file);
    SmallFiles mixed = old_keys;
    mixed["/mem/keys"] = bench.disk.files.at("/mem/keys");
    Bench after(both, mixed);
    after.disk.fail_at(6);  // looked up, both copies read twice, then written
    CHECK(after.open(new_words).error().fault() == Fault::disk);
    CHECK(after.memory.files() == both);
    CHECK(after.holds_everything(new_words));
}

TEST_CASE("the older database is left alone while another program has it open") {
    Bench bench;
    bench.begin();
    MemoryDisk old_disk;
    old_disk.files = bench.disk.files;
    Files both = bench.memory.files();
    REQUIRE(bench.renew().has_value());
    both[second_file] = bench.memory.bytes(second_file);
    Bench after(both, bench.disk.files);
    {
        const auto old_keys = vault::KeyFile::open(old_disk, "/mem", as_bytes(old_words));
        REQUIRE(old_keys.has_value());
        const auto held =
            vault::open_database(first_file, old_keys.value().data_key(), {false, after.memory.name(), after.random});
        REQUIRE(held.has_value());
        CHECK(after.holds_everything(new_words));
        REQUIRE(after.memory.exists(first_file));
        CHECK(after.memory.bytes(first_file) == both.at(first_file));
    }
    CHECK(after.holds_everything(new_words));
    CHECK_FALSE(after.memory.exists(first_file));
}

TEST_CASE("a power cut after a renewal, or in its midst, loses nothing") {
    SeededRandom cuts(9);
    for (int round = 0; round < 40; ++round) {
        CAPTURE(round);
        Bench bench;
        bench.begin();
        const SmallFiles old_keys = bench.disk.files;
        const bool in_midst = round % 2 == 0;
        Files left;
        const auto renewed = bench.renew([&](std::uint64_t done, std::uint64_t) {
            if (in_midst && done == 1) left = bench.memory.after_power_cut(cuts);
            return true;
        });
        REQUIRE(renewed.has_value());
        if (!in_midst) left = bench.memory.after_power_cut(cuts);
        Bench after(left, in_midst ? old_keys : bench.disk.files);
        CHECK(after.holds_everything(in_midst ? old_words : new_words));
    }
}
