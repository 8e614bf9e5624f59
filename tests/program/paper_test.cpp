// The spare key on paper: printed, confirmed, used in place of the passphrase, and used on an empty machine.

#include <fstream>
#include <map>
#include <optional>
#include <sstream>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

struct AdasPaper : AdasFolder {
    json sheet() const { return json::parse(ada.must({"--json", "paper"})); }
    std::string key() const { return sheet().at("key").get<std::string>(); }
    std::string group(std::size_t number) const { return sheet().at("groups").at(number - 1).get<std::string>(); }
    std::string key_file() const { return folder.file("ada.paper", key() + "\n"); }
};

std::string whole_file(const std::filesystem::path& path) {
    std::ostringstream text;
    text << std::ifstream(path, std::ios::binary).rdbuf();
    return text.str();
}

// Circle and digest, the desk left out: it is on one machine alone.
std::map<std::string, std::string> digests(const Person& person) {
    return json::parse(person.must({"--json", "digest"})).get<std::map<std::string, std::string>>();
}

// Circles of which both hold the same now.
std::size_t equal_now(const Person& a, const Person& b) {
    const auto of_b = digests(b);
    std::size_t count = 0;
    for (const auto& [circle, digest] : digests(a)) {
        const auto other = of_b.find(circle);
        count += other != of_b.end() && other->second == digest ? 1 : 0;
    }
    return count;
}

}  // namespace

TEST_CASE("the sheet says whose it is, what it can do and where to keep it") {
    const AdasPaper f;
    const std::string text = f.ada.must({"paper"});
    for (const char* part : {"Ada Finch", "Fingerprint", "printed 2", "Whoever finds it is you", "passphrase"}) {
        CAPTURE(part);
        CHECK(holds(text, part));
    }
    for (std::size_t i = 1; i <= 6; ++i) CHECK(holds(text, f.group(i)));
}

TEST_CASE("the sheet is the same whenever it is printed") {
    const AdasPaper f;
    const std::string key = f.key();
    CHECK(f.key() == key);
}

TEST_CASE("the page to print holds the key, a QR code and nothing from elsewhere") {
    const AdasPaper f;
    f.ada.must({"paper", "--html", (f.folder.path() / "sheet.html").string()});
    const std::string html = whole_file(f.folder.path() / "sheet.html");
    CHECK(holds(html, "<svg"));
    for (std::size_t i = 1; i <= 6; ++i) CHECK(holds(html, f.group(i)));
    CHECK_FALSE(holds(html, "<script"));
    CHECK_FALSE(holds(html, "src="));
    CHECK_FALSE(holds(html, "href="));
}

TEST_CASE("the file with the page is its owner's alone") {
    const AdasPaper f;
    const auto path = f.folder.path() / "sheet.html";
    f.ada.must({"paper", "--html", path.string()});
    CHECK((std::filesystem::status(path).permissions() & std::filesystem::perms(077)) == std::filesystem::perms::none);
}

TEST_CASE("the next step says that the spare key is not written down, until it is") {
    const AdasPaper f;
    CHECK(holds(f.ada.must({"next"}), "not written down"));
    f.ada.must({"paper", "--confirm", f.group(2) + " " + f.group(5)});
    CHECK_FALSE(holds(f.ada.must({"next"}), "not written down"));
    CHECK(f.sheet().at("written_down").is_string());
}

TEST_CASE("two groups are taken as people type them, and only two different ones of this sheet") {
    const AdasPaper f;
    std::string lower = f.group(1);
    for (char& c : lower) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    CHECK(holds(refusal(f.ada.run({"paper", "--confirm", f.group(1)}), 2), "two groups"));
    CHECK(holds(refusal(f.ada.run({"paper", "--confirm", f.group(1) + " " + lower}), 2), "different"));
    CHECK(holds(refusal(f.ada.run({"paper", "--confirm", f.group(1) + " UUUUU"}), 2), "no group"));
    CHECK(f.sheet().at("written_down").is_null());
    f.ada.must({"paper", "--confirm", lower + "-" + f.group(6)});
}

TEST_CASE("the paper key opens the store in place of the passphrase") {
    const AdasPaper f;
    const std::string file = f.key_file();
    const Person forgetful = f.ada.with_passphrase_file("/nowhere");
    CHECK(holds(forgetful.must({"--paper-key-file", file, "sees"}), "Ada Finch"));
}

TEST_CASE("the sheet opens the store under a new data key too") {
    const AdasPaper f;
    const std::string file = f.key_file();
    const std::string said =
        f.ada.must({"new-key", "--new-passphrase-file", f.folder.file("new-words", "other made-up words\n")});
    CHECK_FALSE(holds(said, "not at hand"));
    const Person forgetful = f.ada.with_passphrase_file("/nowhere");
    CHECK(holds(forgetful.must({"--paper-key-file", file, "sees"}), "Ada Finch"));
}

TEST_CASE("a mistyped paper key names the group, and another's paper key opens nothing") {
    const AdasPaper f;
    std::string key = f.key();
    key[14] = key[14] == '7' ? '8' : '7';
    CHECK(holds(refusal(f.ada.run({"--paper-key-file", f.folder.file("slip", key), "sees"}), 2), "group 3"));
    const Person ben{LADDERLINE_PROGRAM, f.folder, "ben"};
    ben.must({"begin", "--name", "Ben Reed"});
    CHECK(holds(refusal(ben.run({"--paper-key-file", f.key_file(), "sees"}), 5), "paper key does not open"));
}

TEST_CASE("a paper key and one peer bring everything back on an empty machine") {
    TemporaryFolder folder;
    const Person olive{LADDERLINE_PROGRAM, folder, "olive"};
    const Person ada{LADDERLINE_PROGRAM, folder, "ada"};
    const Person fresh{LADDERLINE_PROGRAM, folder, "fresh"};
    olive.must({"begin", "--name", "Olive Penn", "--as", "officer", "--club", "Example Club"});
    ada.must({"begin", "--name", "Ada Finch", "--locator", "CM87"});
    const std::string paper =
        folder.file("paper", json::parse(ada.must({"--json", "paper"})).at("key").get<std::string>());
    {
        // Olive is in Ada's path and Ada in Olive's club; the node that syncs is Ada's, then Olive's.
        RunningProgram adas(ada);
        olive.must({"join", code_in(ada.must({"--json", "invite", "path", "--as", "mentor"}))});
        RunningProgram olives(olive);
        ada.must({"join", code_in(olive.must({"--json", "invite", "club", "--as", "newcomer"}))});
        ada.must({"tick", "01.01", "--evidence", "heard the club's net"});
        const auto arrived = [&] { return equal_now(ada, olive) == 2 && holds(olive.must({"way", "Ada"}), "1 of"); };
        int tries_left = 500;
        while (!arrived() && tries_left > 0) --tries_left;
        REQUIRE(tries_left > 0);
        REQUIRE(adas.stop() == 0);
        REQUIRE(olives.stop() == 0);
    }
    std::filesystem::remove_all(ada.home());
    RunningProgram olives(olive);
    const std::string address = "127.0.0.1:" + std::to_string(olives.port());
    const Outcome back = fresh.run({"recover", address, "--paper-key-file", paper});
    CAPTURE(back.err);
    REQUIRE(back.exit_code == 0);
    CHECK(holds(back.out, "Welcome back, Ada Finch"));
    CHECK(holds(back.out, "desk"));
    CHECK(equal_now(fresh, olive) == 2);
    CHECK(holds(fresh.must({"way"}), "1 of"));
    // And it is hers to write on: what she says counts there too.
    fresh.must({"tick", "01.02"});
}

TEST_CASE("a store of one's own is not written over by a recovery") {
    const AdasPaper f;
    const Person ben{LADDERLINE_PROGRAM, f.folder, "ben"};
    ben.must({"begin", "--name", "Ben Reed"});
    const std::string before = all_of_store(ben);
    CHECK(holds(refusal(ben.run({"recover", "127.0.0.1:1", "--paper-key-file", f.key_file()}), 3), "another person"));
    CHECK(all_of_store(ben) == before);
}

TEST_CASE("a recovery that reaches nobody says so, and goes on later in the same folder") {
    const AdasPaper f;
    const Person fresh{LADDERLINE_PROGRAM, f.folder, "fresh"};
    const std::vector<std::string> words{"recover", "127.0.0.1:1", "--paper-key-file", f.key_file()};
    CHECK(holds(refusal(fresh.run(words), 9), "Nobody answers"));
    CHECK(holds(refusal(fresh.run(words), 9), "Nobody answers"));
    CHECK(holds(refusal(fresh.run({"begin", "--name", "Eve"}), 3), "recover"));
}

TEST_CASE("a stranger's paper key brings nothing back from a node that does not know them") {
    const AdasPaper f;
    const Person ben{LADDERLINE_PROGRAM, f.folder, "ben"};
    ben.must({"begin", "--name", "Ben Reed"});
    const std::string bens =
        f.folder.file("bens", json::parse(ben.must({"--json", "paper"})).at("key").get<std::string>());
    const RunningProgram adas(f.ada);
    const Person fresh{LADDERLINE_PROGRAM, f.folder, "fresh"};
    const std::string address = "127.0.0.1:" + std::to_string(adas.port());
    CHECK(holds(refusal(fresh.run({"recover", address, "--paper-key-file", bens}), 3), "knows nobody"));
}
