#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

#include "store/disk.hpp"
#include "store/vault/key_file.hpp"
#include "store/vault/open_database.hpp"
#include "tests/program/refusals.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

std::string bytes_of(const std::filesystem::path& file) {
    std::ostringstream out;
    out << std::ifstream(file, std::ios::binary).rdbuf();
    return out.str();
}

std::map<std::string, std::string> all_files(const std::filesystem::path& folder) {
    std::map<std::string, std::string> out;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        out[entry.path().filename().string()] = bytes_of(entry.path());
    }
    return out;
}

// The number by which a program knows whether it is too old for a store.
std::int64_t make(const Person& person, std::int64_t version) {
    store::RealDisk disk;
    const std::string passphrase = person.passphrase();
    const auto keys = store::vault::KeyFile::open(disk, person.home(), as_bytes(passphrase));
    REQUIRE(keys.has_value());
    SeededRandom random(static_cast<std::uint64_t>(version));
    auto db = store::vault::open_database(person.home() / "store.db", keys.value().data_key(), {false, {}, random});
    REQUIRE(db.has_value());
    std::int64_t before = 0;
    const auto read = [&](const store::sqlite::Row& row) { before = row.integer(0); };
    REQUIRE(db.value().query("PRAGMA user_version", read).has_value());
    REQUIRE(db.value().execute("PRAGMA user_version = " + std::to_string(version)).has_value());
    return before;
}

}  // namespace

TEST_CASE("a wrong passphrase is said so and the store is as it was") {
    const AdasFolder f;
    const std::string before = all_of_store(f.ada);
    const std::string wrong = f.folder.file("wrong", "other words\n");
    CHECK(holds(refusal(f.ada.with_passphrase_file(wrong).run({"way"}), 5), "passphrase"));
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("a passphrase file that is not there is named") {
    const AdasFolder f;
    CHECK(holds(refusal(f.ada.with_passphrase_file("/nowhere/words").run({"way"}), 2), "/nowhere/words"));
}

TEST_CASE("a folder without a store says how to begin one") {
    const TemporaryFolder folder;
    const Person bo(LADDERLINE_PROGRAM, folder, "bo");
    CHECK(holds(refusal(bo.run({"next"}), 4), "ladderline begin"));
    CHECK_FALSE(std::filesystem::exists(bo.home()));
}

TEST_CASE("a folder that leads to itself ends each command with a sentence") {
    const TemporaryFolder folder;
    const Person bo(LADDERLINE_PROGRAM, folder, "bo");
    std::filesystem::create_symlink("bo", bo.home());
    const std::vector<std::string> asked[] = {
        {"next"}, {"run"}, {"mend"}, {"begin", "--name", "Bo Lindt"}, {"begin", "--guide"}};
    for (const std::vector<std::string>& words : asked) {
        CAPTURE(words.back());
        refusal(bo.run(words), 8);
    }
}

TEST_CASE("a key file whose place leads to itself is not made, and it is said why") {
    const AdasFolder f;
    std::filesystem::create_symlink("there", f.folder.path() / "there");
    const std::string path = (f.folder.path() / "there" / "boot.key").string();
    CHECK(holds(refusal(f.ada.run({"key-file", path}), 2), "nothing was made"));
}

TEST_CASE("who begins twice keeps the store that is there") {
    const AdasFolder f;
    const std::string before = all_of_store(f.ada);
    CHECK(holds(refusal(f.ada.run({"begin", "--name", "Bo Lindt"}), 3), "nothing was changed"));
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("a beginning that cannot be leaves no store behind") {
    const TemporaryFolder folder;
    const Person bo(LADDERLINE_PROGRAM, folder, "bo");
    const std::vector<std::string> wrong[] = {{"--as", "mentor", "--under-18"},
                                              {"--as", "officer"},
                                              {"--club", "Example Club"},
                                              {"--as", "nobody"},
                                              {"--locator", "ZZ99"},
                                              {"--zone", "Nowhere/Land"},
                                              {"--call", "12345"}};
    for (std::vector<std::string> words : wrong) {
        CAPTURE(words.back());
        words.insert(words.begin(), {"begin", "--name", "Bo Lindt"});
        const Outcome outcome = bo.run(words);
        CHECK(outcome.exit_code != 0);
        CHECK(is_one_sentence(outcome.err));
        CHECK_FALSE(std::filesystem::exists(bo.home()));
    }
}

TEST_CASE("a second start beside a node that runs is refused, and the node goes on") {
    const AdasFolder f;
    RunningProgram node(f.ada);
    CHECK(holds(refusal(f.ada.run({"run", "--listen", "127.0.0.1:0"}), 7), "runs already"));
    CHECK(f.ada.run({"next"}).exit_code == 0);
    CHECK(node.stop() == 0);
}

TEST_CASE("a store that a node holds is opened by nobody else, even when its socket is gone") {
    const AdasFolder f;
    const std::string before = all_of_store(f.ada);
    RunningProgram node(f.ada);
    std::filesystem::remove(f.ada.home() / "node.sock");
    CHECK(holds(refusal(f.ada.run({"next"}), 7), "already open"));
    CHECK(holds(refusal(f.ada.run({"run", "--listen", "127.0.0.1:0"}), 7), "already open"));
    CHECK(node.stop() == 0);
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("what was done is there after the node was ended without a word") {
    const AdasFolder f;
    RunningProgram node(f.ada);
    f.ada.must({"tick", "00.01"});
    const std::string before = all_of_store(f.ada);
    node.kill_now();
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("a node starts again after it was ended without a word") {
    const AdasFolder f;
    RunningProgram(f.ada).kill_now();
    RunningProgram again(f.ada);
    CHECK(f.ada.run({"next"}).exit_code == 0);
    CHECK(again.stop() == 0);
}

TEST_CASE("a store of a newer program is refused and left as it is") {
    const AdasFolder f;
    const std::string before = all_of_store(f.ada);
    const std::int64_t version = make(f.ada, 999);
    const auto files = all_files(f.ada.home());
    CHECK(files.size() >= 4);
    for (const char* word : {"way", "check", "mend"}) CHECK(holds(refusal(f.ada.run({word}), 6), "newer"));
    CHECK(holds(refusal(f.ada.run({"backup", (f.folder.path() / "copy").string()}), 6), "newer"));
    CHECK(all_files(f.ada.home()) == files);
    make(f.ada, version);
    CHECK(all_of_store(f.ada) == before);
}
