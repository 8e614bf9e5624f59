// The ways into a store, by the real program.

#include <sys/stat.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;

namespace fs = std::filesystem;

namespace {

std::map<std::string, std::string> all_files(const fs::path& folder) {
    std::map<std::string, std::string> out;
    for (const auto& entry : fs::directory_iterator(folder)) {
        if (!entry.is_regular_file()) continue;
        std::ostringstream text;
        text << std::ifstream(entry.path(), std::ios::binary).rdbuf();
        out[entry.path().filename().string()] = text.str();
    }
    return out;
}

// How many pages of the two are not the same, byte for byte.
std::size_t pages_changed(const std::string& before, const std::string& after) {
    constexpr std::size_t page_bytes = 4096;
    REQUIRE(before.size() == after.size());
    std::size_t out = 0;
    for (std::size_t at = 0; at < before.size(); at += page_bytes) {
        out += before.compare(at, page_bytes, after, at, page_bytes) == 0 ? 0 : 1;
    }
    return out;
}

mode_t mode_of(const fs::path& path) {
    struct stat found {};
    REQUIRE(::stat(path.c_str(), &found) == 0);
    return found.st_mode & 0777;
}

struct Doors : AdasFolder {
    std::string new_words = folder.file("new-words", "other made-up words\n");
    std::string key_path = (folder.path() / "boot.key").string();
    Person with_new = ada.with_passphrase_file(new_words);
    Person without_passphrase = ada.with_passphrase_file("/nowhere");
};

nlohmann::json doors(const Outcome& outcome) {
    REQUIRE(outcome.exit_code == 0);
    return nlohmann::json::parse(outcome.out);
}

}  // namespace

TEST_CASE("after a change of passphrase the new one opens the store, and the old one does not") {
    const Doors f;
    const std::string before = all_of_store(f.ada);
    const std::string said = f.ada.must({"passphrase", "--new-passphrase-file", f.new_words});
    CHECK(holds(said, "old copy"));
    CHECK(holds(said, "new-key"));
    refusal(f.ada.run({"way"}), 5);
    CHECK(all_of_store(f.with_new) == before);
}

TEST_CASE("a change of passphrase leaves the database file as it is in all its pages but those that name the day") {
    const Doors f;
    const std::string before = all_files(f.ada.home()).at("store.db");
    REQUIRE(before.size() > 20 * 4096);
    f.ada.must({"passphrase", "--new-passphrase-file", f.new_words});
    const auto after = all_files(f.ada.home());
    CHECK(pages_changed(before, after.at("store.db")) <= 3);
    CHECK_FALSE(after.contains("store.2.db"));
}

TEST_CASE("a new key keeps everything, and an old copy of the key file opens nothing any more") {
    const Doors f;
    const std::string before = all_of_store(f.ada);
    fs::copy_file(f.ada.home() / "keys", f.folder.path() / "old-keys");
    CHECK(holds(f.ada.must({"new-key", "--new-passphrase-file", f.new_words}), "new key"));
    CHECK(all_of_store(f.with_new) == before);
    const auto databases = fs::exists(f.ada.home() / "store.db") + fs::exists(f.ada.home() / "store.2.db");
    CHECK(databases == 1);
    for (const char* copy : {"keys", "keys.copy"}) {
        fs::copy_file(f.folder.path() / "old-keys", f.ada.home() / copy, fs::copy_options::overwrite_existing);
    }
    const auto files = all_files(f.ada.home());
    refusal(f.ada.run({"way"}), 5);
    CHECK(all_files(f.ada.home()) == files);
}

TEST_CASE("a new key names what lies in the store's folder and older keys still open, and leaves it there") {
    const Doors f;
    const fs::path copy = f.ada.home() / "copies" / "2026-11-26T093015Z";
    fs::create_directories(copy.parent_path());
    f.ada.must({"backup", copy.string()});
    const fs::path damaged = f.ada.home() / "store.db.damaged-1";
    fs::copy_file(f.ada.home() / "store.db", damaged);
    const std::string said = f.ada.must({"new-key", "--new-passphrase-file", f.new_words});
    for (const fs::path& kept : {copy, damaged}) {
        CAPTURE(kept);
        CHECK(holds(said, kept.string()));
        CHECK(fs::exists(kept));
    }
    CHECK(holds(said, "spare key"));
}

TEST_CASE("a new key names the ways in that it had to drop") {
    const Doors f;
    f.ada.must({"key-file", f.key_path});
    CHECK(holds(f.ada.must({"new-key", "--new-passphrase-file", f.new_words}), "The key file was not at hand"));
    refusal(f.without_passphrase.run({"--key-file", f.key_path, "way"}), 4);
}

TEST_CASE("a new key asked for with the key file keeps the key file") {
    const Doors f;
    f.ada.must({"key-file", f.key_path});
    f.without_passphrase.must({"new-key", "--key-file", f.key_path, "--new-passphrase-file", f.new_words});
    CHECK(f.without_passphrase.run({"--key-file", f.key_path, "way"}).exit_code == 0);
    CHECK(f.with_new.run({"way"}).exit_code == 0);
}

TEST_CASE("a key file opens the store for any command, and a node that it started says so") {
    const Doors f;
    f.ada.must({"key-file", f.key_path});
    CHECK(mode_of(f.key_path) == 0600);
    CHECK(f.without_passphrase.run({"--key-file", f.key_path, "way"}).exit_code == 0);
    RunningProgram node(f.without_passphrase, {"--key-file", f.key_path});
    CHECK(doors(f.ada.run({"--json", "doors"})).at("opened_by_key_file") == true);
    CHECK(holds(f.ada.must({"doors"}), "unlocks itself at boot"));
    CHECK(node.stop() == 0);
    CHECK(doors(f.ada.run({"--json", "doors"})).at("opened_by_key_file") == false);
}

TEST_CASE("a removed key file opens nothing, and the passphrase still does") {
    const Doors f;
    f.ada.must({"key-file", f.key_path});
    f.ada.must({"key-file", "--remove"});
    refusal(f.without_passphrase.run({"--key-file", f.key_path, "way"}), 4);
    refusal(f.ada.run({"key-file", "--remove"}), 4);
    CHECK(f.ada.run({"way"}).exit_code == 0);
}

TEST_CASE("a key file that others may read is refused") {
    const Doors f;
    f.ada.must({"key-file", f.key_path});
    fs::permissions(f.key_path, fs::perms::group_read, fs::perm_options::add);
    CHECK(holds(refusal(f.without_passphrase.run({"--key-file", f.key_path, "way"}), 3), "0600"));
}

TEST_CASE("a key file inside the store's folder is refused and nothing is made") {
    const Doors f;
    const auto before = all_files(f.ada.home());
    refusal(f.ada.run({"key-file", (f.ada.home() / "boot.key").string()}), 3);
    CHECK_FALSE(fs::exists(f.ada.home() / "boot.key"));
    CHECK(all_files(f.ada.home()).at("keys") == before.at("keys"));
}

TEST_CASE("the doors name each way in with its cost and its day") {
    const Doors f;
    f.ada.must({"key-file", f.key_path});
    const auto shown = doors(f.ada.run({"--json", "doors"}));
    REQUIRE(shown.at("doors").size() == 3);
    CHECK(shown.at("doors").at(0).at("door") == "passphrase");
    CHECK(shown.at("doors").at(0).at("passes") == 3);
    CHECK(shown.at("doors").at(0).at("memory_kib") == 8 * 1024);
    CHECK(shown.at("doors").at(0).at("made").get<std::string>().size() == 10);
    CHECK(shown.at("doors").at(1).at("door") == "paper key");
    CHECK(shown.at("doors").at(2).at("door") == "key file");
    CHECK(shown.at("doors").at(2).at("made").get<std::string>().size() == 10);
}

TEST_CASE("the program that holds keys leaves no core, cannot be looked into, and keeps keys out of swap") {
    const Doors f;
    const auto process = doors(f.ada.run({"--json", "doors"})).at("process");
    CHECK(process.at("dumpable") == false);
    CHECK(process.at("core_bytes_max") == 0);
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)  // sanitizers lock no memory
    CHECK(process.at("locked_kib") > 0);
#endif
}

TEST_CASE("a wrong passphrase or key file leaves every file as it was, whatever was asked for") {
    const Doors f;
    const auto before = all_files(f.ada.home());
    const std::string other = (f.folder.path() / "other.key").string();
    std::ofstream(other, std::ios::binary) << std::string(32, 'k');
    fs::permissions(other, fs::perms::owner_read | fs::perms::owner_write);
    const std::vector<std::string> asked[] = {{"way"},
                                              {"doors"},
                                              {"tick", "00.01"},
                                              {"passphrase", "--new-passphrase-file", f.new_words},
                                              {"new-key", "--new-passphrase-file", f.new_words},
                                              {"key-file", f.key_path},
                                              {"key-file", "--remove"},
                                              {"export", (f.folder.path() / "out").string()},
                                              {"run", "--listen", "127.0.0.1:0"}};
    for (std::vector<std::string> words : asked) {
        CAPTURE(words.front());
        refusal(f.with_new.run(words), 5);
        CHECK(all_files(f.ada.home()) == before);
        words.insert(words.begin(), {"--key-file", other});
        refusal(f.ada.run(words), 4);  // this store has no key file
        CHECK(all_files(f.ada.home()) == before);
    }
    CHECK_FALSE(fs::exists(f.key_path));
    CHECK_FALSE(fs::exists(f.folder.path() / "out"));
}

TEST_CASE("a damaged key file is told from a wrong passphrase and stays as it is") {
    const Doors f;
    for (const char* copy : {"keys", "keys.copy"}) {
        std::fstream file(f.ada.home() / copy, std::ios::in | std::ios::out | std::ios::binary);
        file.seekp(60);
        file.put('\x7f');
        file.seekp(61);
        file.put('\x7f');
    }
    const auto before = all_files(f.ada.home());
    for (const std::string& words : {std::string("passphrase"), std::string("new-key")}) {
        refusal(f.ada.run({words, "--new-passphrase-file", f.new_words}), 6);
    }
    refusal(f.with_new.run({"way"}), 6);
    CHECK(all_files(f.ada.home()) == before);
}

TEST_CASE("keys are not changed behind the back of a node that runs") {
    const Doors f;
    RunningProgram node(f.ada);
    for (const char* word : {"passphrase", "new-key"}) {
        CHECK(holds(refusal(f.ada.run({word, "--new-passphrase-file", f.new_words}), 7), "nothing was changed"));
    }
    refusal(f.ada.run({"key-file", f.key_path}), 7);
    CHECK(node.stop() == 0);
    CHECK(f.ada.run({"way"}).exit_code == 0);
}

TEST_CASE("the files of a store are their owner's alone, the log too") {
    const Doors f;
    RunningProgram node(f.ada);
    f.ada.must({"tick", "00.01"});
    for (const char* name : {"keys", "keys.copy", "store.db", "store.db-wal"}) {
        CAPTURE(name);
        CHECK(mode_of(f.ada.home() / name) == 0600);
    }
    CHECK(node.stop() == 0);
    f.ada.must({"new-key", "--new-passphrase-file", f.new_words});
    CHECK(mode_of(f.ada.home() / "store.2.db") == 0600);
}

TEST_CASE("an export is written once and says what it holds") {
    const Doors f;
    const std::string out = (f.folder.path() / "out").string();
    const auto said = doors(f.ada.run({"--json", "export", out}));
    CHECK(said.at("events") > 0);
    CHECK(fs::exists(f.folder.path() / "out" / "README.txt"));
    CHECK(holds(refusal(f.ada.run({"export", out}), 3), "not an empty folder"));
}

TEST_CASE("an export through the running node lands where its name was typed") {
    const Doors f;
    RunningProgram node(f.ada);
    CHECK(f.ada.run({"export", "out"}, f.folder.path()).exit_code == 0);
    CHECK(fs::exists(f.folder.path() / "out" / "events.jsonl"));
    CHECK(node.stop() == 0);
}
