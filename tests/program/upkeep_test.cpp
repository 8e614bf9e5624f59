#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>

#include "tests/program/refusals.hpp"
#include "tests/support/program/terminal.hpp"

using namespace ladderline::test;

namespace {

namespace fs = std::filesystem;

std::string bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

void write(const fs::path& file, const std::string& bytes) {
    std::ofstream(file, std::ios::binary) << bytes;
}

std::map<std::string, std::string> all_files(const fs::path& folder) {
    std::map<std::string, std::string> out;
    for (const auto& entry : fs::directory_iterator(folder)) {
        out[entry.path().filename().string()] = bytes_of(entry.path());
    }
    return out;
}

// Bit flipped in the middle of a page; the first is 1.
void damage_page(const fs::path& database, std::size_t page) {
    std::string bytes = bytes_of(database);
    bytes.at((page - 1) * 4096 + 2000) ^= 1;
    write(database, bytes);
}

std::string paper_key_of(const Person& person, const TemporaryFolder& folder) {
    const auto sheet = nlohmann::json::parse(person.must({"--json", "paper"}));
    return folder.file("sheet", sheet.at("key").get<std::string>() + "\n");
}

}  // namespace

TEST_CASE("a backup is restored elsewhere and shows the same") {
    const AdasFolder f;
    f.ada.must({"tick", "00.01"});
    const std::string before = all_of_store(f.ada);
    const fs::path folder = f.folder.path() / "copy";
    CHECK(holds(f.ada.must({"backup", folder.string()}), "sealed copy"));
    const Person again(LADDERLINE_PROGRAM, f.folder, "again");
    CHECK(holds(again.must({"restore", folder.string()}), "The store is back"));
    CHECK(all_of_store(again) == before);
    again.must({"tick", "00.02"});
}

TEST_CASE("a backup is named from where its words are typed") {
    const AdasFolder f;
    CHECK(f.ada.run({"backup", "copy"}, f.folder.path()).exit_code == 0);
    CHECK(fs::exists(f.folder.path() / "copy" / "store.db"));
}

TEST_CASE("a backup is refused where something is, and a restore where a store is") {
    const AdasFolder f;
    const fs::path folder = f.folder.path() / "copy";
    f.ada.must({"backup", folder.string()});
    const auto before = all_files(folder);
    CHECK(holds(refusal(f.ada.run({"backup", folder.string()}), 3), "not an empty folder"));
    CHECK(all_files(folder) == before);
    CHECK(holds(refusal(f.ada.run({"restore", folder.string()}), 3), "already"));
}

TEST_CASE("a restore with a wrong passphrase makes nothing") {
    const AdasFolder f;
    const fs::path folder = f.folder.path() / "copy";
    f.ada.must({"backup", folder.string()});
    const Person other =
        Person(LADDERLINE_PROGRAM, f.folder, "other").with_passphrase_file(f.folder.file("wrong", "other words\n"));
    CHECK(holds(refusal(other.run({"restore", folder.string()}), 5), "passphrase"));
    CHECK_FALSE(fs::exists(other.home()));
}

TEST_CASE("whoever joined after the copy is invited again after a restore, and brings back what came later") {
    const AdasFolder f;
    const Person max(LADDERLINE_PROGRAM, f.folder, "max");
    max.must({"begin", "--name", "Max Dale", "--as", "mentor"});
    const fs::path folder = f.folder.path() / "copy";
    f.ada.must({"backup", folder.string()});
    const std::vector<std::string> invite{"--json", "invite", "path", "--as", "mentor"};
    const auto comes_to = [](const Person& somebody, const std::vector<std::string>& words) {
        int tries_left = 500;
        while (!holds(somebody.run(words).out, "1 of") && tries_left > 0) --tries_left;
        return tries_left > 0;
    };
    {
        RunningProgram adas(f.ada);
        max.must({"join", code_in(f.ada.must(invite))});
        RunningProgram maxs(max);
        f.ada.must({"tick", "01.01", "--evidence", "heard the club's net"});
        REQUIRE(comes_to(max, {"way", "Ada"}));
        REQUIRE(adas.stop() == 0);
        REQUIRE(maxs.stop() == 0);
    }
    fs::remove_all(f.ada.home());
    CHECK(holds(f.ada.must({"restore", folder.string()}), "invite them again"));
    REQUIRE_FALSE(holds(f.ada.must({"way"}), "1 of"));
    RunningProgram adas(f.ada);
    max.must({"join", code_in(f.ada.must(invite))});
    RunningProgram maxs(max);
    CHECK(comes_to(f.ada, {"way"}));
    CHECK(maxs.stop() == 0);
    CHECK(adas.stop() == 0);
}

TEST_CASE("no store is restored or brought back where another program copies files about") {
    const AdasFolder f;
    const fs::path folder = f.folder.path() / "copy";
    f.ada.must({"backup", folder.string()});
    const std::string sheet = paper_key_of(f.ada, f.folder);
    f.folder.file(".sync_of_another_program", "");
    const Person other(LADDERLINE_PROGRAM, f.folder, "other");
    CHECK(holds(refusal(other.run({"restore", folder.string()}), 3), "damages an open store"));
    CHECK(holds(refusal(other.run({"recover", "127.0.0.1:1", "--paper-key-file", sheet}), 3), "damages an open store"));
    CHECK_FALSE(fs::exists(other.home()));
}

TEST_CASE("the sheet restores a copy and mends a store in place of the passphrase") {
    const AdasFolder f;
    const std::string sheet = paper_key_of(f.ada, f.folder);
    const fs::path folder = f.folder.path() / "copy";
    f.ada.must({"backup", folder.string()});
    const Person other = Person(LADDERLINE_PROGRAM, f.folder, "other").with_passphrase_file("/nowhere");
    CHECK(holds(other.must({"--paper-key-file", sheet, "restore", folder.string()}), "The store is back"));
    CHECK(holds(other.must({"--paper-key-file", sheet, "sees"}), "Ada Finch"));
    CHECK(holds(refusal(other.run({"--paper-key-file", sheet, "mend"}), 3), "Every page of this store opens"));
}

TEST_CASE("a slip in the six groups or in a new passphrase is asked for again") {
    const AdasFolder f;
    const fs::path folder = f.folder.path() / "copy";
    f.ada.must({"backup", folder.string()});
    const std::string key = bytes_of(paper_key_of(f.ada, f.folder));
    const Person other(LADDERLINE_PROGRAM, f.folder, "other");
    Terminal screen(other, {"--paper-key", "restore", folder.string()});
    screen.read_to("six groups: ");
    screen.type("AAAAA");
    screen.read_to("six groups: ");
    screen.type(key.substr(0, key.find('\n')));
    screen.read_to("The store is back");
    CHECK(screen.end() == 0);
    Terminal change(other, {"--paper-key", "passphrase"});
    change.read_to("six groups: ");
    change.type(key.substr(0, key.find('\n')));
    for (const char* second : {"something else", "seven other made-up words of this test"}) {
        change.read_to("New passphrase: ");
        change.type("seven other made-up words of this test");
        change.read_to("Once more: ");
        change.type(second);
    }
    change.read_to("The passphrase is changed");
    CHECK(change.end() == 0);
}

TEST_CASE("a running node makes backups and checks, and is neither restored nor mended") {
    const AdasFolder f;
    RunningProgram node(f.ada);
    const fs::path folder = f.folder.path() / "copy";
    f.ada.must({"backup", folder.string()});
    CHECK(holds(f.ada.must({"check"}), "This store is whole"));
    CHECK(holds(refusal(f.ada.run({"mend"}), 7), "stop it first"));
    CHECK(holds(refusal(f.ada.run({"restore", folder.string()}), 7), "stop it first"));
    CHECK(node.stop() == 0);
}

TEST_CASE("a check of a whole store says so, and is remembered") {
    const AdasFolder f;
    CHECK(holds(refusal(f.ada.run({"check", "--last"}), 4), "not been checked"));
    CHECK(holds(f.ada.must({"check"}), "This store is whole"));
    CHECK(holds(f.ada.must({"check", "--last"}), "This store is whole"));
}

TEST_CASE("a running node checks itself") {
    const AdasFolder f;
    RunningProgram node(f.ada);
    Outcome last;
    // Each question is a program of its own, so that the node gets on meanwhile.
    for (int tries = 0; tries < 5000 && last.exit_code != 0; ++tries) last = f.ada.run({"check", "--last"});
    CHECK(holds(last.out, "all chains are whole"));
    CHECK_FALSE(holds(last.out, "This store is whole"));
    CHECK(node.stop() == 0);
}

TEST_CASE("a damaged page is found by a check, and a mended store is whole again") {
    const AdasFolder f;
    for (const char* item : {"00.01", "00.02", "00.03"}) f.ada.must({"tick", item});
    const fs::path database = f.ada.home() / "store.db";
    const std::string whole = bytes_of(database);
    int found_damaged = 0;
    int mended = 0;
    for (std::size_t page = 2; page <= whole.size() / 4096; page += 7) {
        CAPTURE(page);
        write(database, whole);
        damage_page(database, page);
        const Outcome found = f.ada.run({"check"});
        if (found.exit_code == 0) continue;  // a page that holds nothing
        ++found_damaged;
        CHECK(found.exit_code == 6);
        CHECK(holds(found.out + found.err, "ladderline mend"));
        write(database, whole);
        damage_page(database, page);
        const Outcome outcome = f.ada.run({"mend"});
        if (outcome.exit_code != 0) continue;
        ++mended;
        CHECK(holds(outcome.out, "store.db.damaged-"));
        CHECK(holds(f.ada.must({"check"}), "This store is whole"));
    }
    CHECK(found_damaged > 2);
    CHECK(mended > 0);
}

TEST_CASE("a database put back to an older time is told once, and work goes on") {
    const AdasFolder f;
    const std::string older = bytes_of(f.ada.home() / "store.db");
    f.ada.must({"tick", "00.01"});
    write(f.ada.home() / "store.db", older);
    CHECK(holds(f.ada.run({"next"}).err, "went back in time"));
    const Outcome again = f.ada.run({"tick", "00.01"});
    CHECK(again.exit_code == 0);
    CHECK(again.err.empty());
}

TEST_CASE("that a database was put back is told by a command about keys as well") {
    const AdasFolder f;
    const std::string older = bytes_of(f.ada.home() / "store.db");
    f.ada.must({"tick", "00.01"});
    write(f.ada.home() / "store.db", older);
    CHECK(holds(f.ada.run({"doors"}).err, "went back in time"));
}

TEST_CASE("a store without its high-water record opens, and says what that means") {
    const AdasFolder f;
    fs::remove(f.ada.home() / "water");
    const Outcome outcome = f.ada.run({"next"});
    CHECK(outcome.exit_code == 0);
    CHECK(holds(outcome.err, "is gone"));
}
