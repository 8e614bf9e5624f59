// Paper and back: what is printed is filled in by hand, typed in again, and merged; with slips of the pen in it. The
// spare key is in paper_test.cpp, the log sheet's own rules in log_test.cpp.

#include <fstream>
#include <sstream>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

// Ada lets Max onto her path; both nodes run.
struct Pair {
    Pair() {
        max.must({"join", code_in(ada.must({"--json", "invite", "path", "--as", "mentor"}))});
        for (int look = 0; look < 2000 && max.run({"way", "Ada"}).exit_code != 0; ++look) {
        }
    }
    std::string state(const Person& who, const std::string& item) const {
        const json way = json::parse(who.must({"--json", "way"}));
        for (const json& stage : way.at("stages")) {
            for (const json& one : stage.at("items")) {
                if (one.at("id") == item) return one.at("state");
            }
        }
        return {};
    }
    json sign(const std::string& text) const {
        return json::parse(max.must({"--json", "sign", "Ada", "--from", folder.file("sheet.plain", text)}));
    }

    TemporaryFolder folder;
    Person ada = begun("ada", {"--name", "Ada Finch"});
    Person max = begun("max", {"--name", "Max Dale", "--as", "mentor", "--call", "KF1XMD"});
    RunningProgram adas{ada};
    RunningProgram maxs{max};

private:
    Person begun(const std::string& name, std::vector<std::string> words) const {
        const Person out(LADDERLINE_PROGRAM, folder, name);
        words.insert(words.begin(), "begin");
        out.must(words);
        return out;
    }
};

// The numbers of the items that a sheet shows.
std::vector<std::string> items_on(const std::string& sheet) {
    std::vector<std::string> out;
    std::istringstream lines(sheet);
    for (std::string line; std::getline(lines, line);) {
        if (line.size() > 7 && line[2] == '.' && line.substr(5, 2) == "  ") out.push_back(line.substr(0, 5));
    }
    return out;
}

std::string first_id(const Person& who) {
    return json::parse(who.must({"--json", "meet"})).at(0).at("id").get<std::string>();
}

}  // namespace

TEST_CASE("a ladder sheet has a row for each open item, and its ticks are typed back in") {
    const AdasFolder f;
    const std::string sheet = f.ada.must({"way", "--sheet"});
    const std::vector<std::string> items = items_on(sheet);
    REQUIRE(items.size() > 3);
    CHECK(holds(sheet, "[ ] done ____-__-__"));
    const std::string lines = items[0] + " 2025-03-01 talking with friends\n\n# a remark\n" + items[1] + "\n";
    const std::string file = f.folder.file("sheet.plain", lines);
    const json done = json::parse(f.ada.must({"--json", "tick", "--from", file}));
    CHECK(done.at("added") == 2);
    CHECK(done.at("left_out").empty());
    const auto left = items_on(f.ada.must({"way", "--sheet"}));
    CHECK(std::find(left.begin(), left.end(), items[0]) == left.end());
    CHECK(holds(f.ada.must({"way", "--sheet", "--all"}), "[x] done 2025-03-01"));
}

TEST_CASE("a sheet typed in twice says nothing twice") {
    const AdasFolder f;
    const std::string file = f.folder.file("sheet.plain", "0.1 2025-03-01\n0.2 2025-03-02\n");
    f.ada.must({"tick", "--from", file});
    const json again = json::parse(f.ada.must({"--json", "tick", "--from", file}));
    CHECK(again.at("added") == 0);
    CHECK(again.at("stood") == 2);
}

TEST_CASE("a line with a slip is named and left out, the others are taken") {
    const AdasFolder f;
    const std::string file =
        f.folder.file("sheet.plain", "0.1 2025-03-1O\n0.2 2025-03-01\no.3 2025-03-01\n9.99\n0.4 2999-01-01\n");
    const json done = json::parse(f.ada.must({"--json", "tick", "--from", file}));
    CHECK(done.at("added") == 1);
    REQUIRE(done.at("left_out").size() == 4);
    CHECK(done["left_out"][0].at("line") == 1);
    CHECK(done["left_out"][1].at("text") == "o.3 2025-03-01");
    CHECK(holds(done["left_out"][2].at("sentence").get<std::string>(), "9.99"));
    CHECK(holds(done["left_out"][3].at("sentence").get<std::string>(), "has not come yet"));
}

TEST_CASE("a sheet of slips alone is refused with the first of them") {
    const AdasFolder f;
    const std::string before = all_of_store(f.ada);
    CHECK(holds(refusal(f.ada.run({"tick", "--from", f.folder.file("sheet.plain", "o.1\n")}), 2), "Line 1"));
    CHECK(holds(refusal(f.ada.run({"tick", "--from", f.folder.file("empty.plain", "# nothing\n")}), 2), "no line"));
    CHECK(holds(refusal(f.ada.run({"tick", "--from", "/nowhere"}), 4), "nothing was taken in"));
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("a mentor's column is typed back in as a batch, with levels and what was seen, and merges") {
    const Pair p;
    p.ada.must({"tick", "0.8"});
    const json done =
        p.sign("0.8 2025-03-01 wrote it down together\n1.17 2025-03-02 with help, twice\n1.17 - seen\n0.1\n");
    CHECK(done.at("added") == 3);
    REQUIRE(done.at("left_out").size() == 1);
    CHECK(done["left_out"][0].at("line") == 4);
    std::string seen;
    for (int look = 0; look < 2000 && seen != "signed, alone"; ++look) seen = p.state(p.ada, "01.17");
    CHECK(seen == "signed, alone");
    CHECK(p.state(p.ada, "00.08") == "signed");
    CHECK(holds(p.max.must({"way", "Ada", "--sheet", "--all"}), "[x] seen 2025-03-01"));
}

TEST_CASE("the printed page of a way is complete in itself and its owner's alone") {
    const AdasFolder f;
    const std::filesystem::path page = f.folder.path() / "way.html";
    f.ada.must({"way", "--all", "--html", page.string()});
    std::ostringstream text;
    text << std::ifstream(page).rdbuf();
    CHECK(holds(text.str(), "09.06"));
    CHECK(holds(text.str(), "1.17 2026-11-20 alone without a sheet"));
    for (const char* outside : {"http:", "https:", "<script", "<link"}) CHECK_FALSE(holds(text.str(), outside));
    CHECK((std::filesystem::status(page).permissions() & std::filesystem::perms::others_all) ==
          std::filesystem::perms::none);
}

TEST_CASE("a meeting card names the id by which its outcome is typed back in") {
    const Pair p;
    p.ada.must({"meet", "--at", day_from_now(p.ada, 7) + "T19:30Z", "--first", "146.520", "--mode", "FM"});
    const std::string card = p.ada.must({"meet", "--card", "last"});
    const std::string id = first_id(p.ada).substr(0, 8);
    REQUIRE(holds(card, "ladderline meet --made " + id));
    std::string slip = id;
    slip[0] = slip[0] == 'a' ? 'b' : 'a';
    refusal(p.ada.run({"meet", "--made", slip}), 4);
    p.ada.must({"meet", "--moved", id});
    CHECK(json::parse(p.ada.must({"--json", "meet"})).at(0).at("outcome") == "moved");
    CHECK_FALSE(holds(p.ada.must({"meet", "--card", id}), "Typed back in"));
}

TEST_CASE("a log sheet's rows are typed back in as its help says, and a slip costs one row") {
    const AdasFolder f;
    const std::string sheet = f.ada.must({"contact", "--sheet"});
    const std::size_t at = sheet.find("each row is a line: ");
    REQUIRE(at != std::string::npos);
    std::string row = sheet.substr(at + 20, sheet.find('\n', at) - at - 21);
    const std::string file = f.folder.file("log.plain", row + "\n1906 KDOXAA 146.52 FM 59 57\n1907 KF1XME\n");
    const json done = json::parse(f.ada.must({"--json", "contact", "--net", file, "--at", "2025-03-01T19:00Z", "--mhz",
                                              "146.52", "--mode", "FM", "--guest-of", "KF1XMD"}));
    CHECK(done.at("added") == 2);
    REQUIRE(done.at("left_out").size() == 1);
    CHECK(done["left_out"][0].at("line") == 2);
}

TEST_CASE("a mock paper's letters are typed back in by its number, and a slip in the number stores nothing") {
    const AdasFolder f;
    const json paper = json::parse(f.ada.must({"--json", "mock"}));
    std::string number = paper.at("number");
    const std::string letters(paper.at("questions").size(), 'A');
    std::string slip = number;
    slip[0] = slip[0] == 'A' ? 'B' : 'A';
    const Outcome refused = f.ada.run({"mock", "--mark", slip, "--answers", letters});
    CHECK(refused.exit_code != 0);
    CHECK(is_one_sentence(refused.err));
    CHECK(json::parse(f.ada.must({"--json", "mock", "--results"})).empty());
    f.ada.must({"mock", "--mark", number, "--answers", letters});
    CHECK(json::parse(f.ada.must({"--json", "mock", "--results"})).size() == 1);
}

TEST_CASE("who stands on the printed review as waiting is typed back in as asked, and leaves the list") {
    const TemporaryFolder folder;
    const Person olive(LADDERLINE_PROGRAM, folder, "olive");
    const Person ada(LADDERLINE_PROGRAM, folder, "ada");
    olive.must({"begin", "--name", "Olive Penn", "--as", "officer", "--club", "Example Club"});
    ada.must({"begin", "--name", "Ada Finch"});
    const RunningProgram olives(olive);
    const RunningProgram adas(ada);
    ada.must({"join", code_in(olive.must({"--json", "invite", "club", "--as", "newcomer"}))});
    ada.must({"ask", "which antenna for a flat", "--on", day_from_now(ada, -9)});
    ada.must({"share", "--until", day_from_now(ada, 300)});
    json review;
    for (int look = 0; look < 2000; ++look) {
        review = json::parse(olive.must({"--json", "review"}));
        if (!review.at("needs").empty()) break;
    }
    REQUIRE(review.at("needs").size() == 1);
    CHECK(holds(refusal(olive.run({"asked", "Adda"}), 4), "Adda"));
    olive.must({"asked", "Ada"});
    CHECK(json::parse(olive.must({"--json", "review"})).at("needs").empty());
}
