// The contact log through the real program.
#include "tests/program/refusals.hpp"

using namespace ladderline::test;

namespace {

// Ada's grant has been visible since 2025-02-01.
struct Log : AdasFolder {
    Log() {
        ada.must({"tick", "3.8", "--on", "2025-01-10", "--evidence", "certificate in hand"});
        ada.must({"tick", "4.3", "--on", "2025-01-20"});
        ada.must({"tick", "4.6", "--on", "2025-02-01", "--evidence", "KD0XAA"});
    }

    void write(const std::string& call, const std::string& at, const std::vector<std::string>& more = {}) const {
        std::vector<std::string> words{"contact", call, "--at", at, "--mhz", "146.94", "--mode", "FM"};
        words.insert(words.end(), more.begin(), more.end());
        ada.must(words);
    }
    nlohmann::json list(const std::vector<std::string>& more = {}) const {
        std::vector<std::string> words{"--json", "contact"};
        words.insert(words.end(), more.begin(), more.end());
        return nlohmann::json::parse(ada.must(words));
    }
    std::string id() const { return list().at(0).at("id").get<std::string>().substr(0, 8); }
};

}  // namespace

TEST_CASE("a contact is changed by what is typed and keeps the rest, and its history is shown") {
    const Log f;
    f.write("KF1XMD", "2025-03-01T10:00Z", {"--sent", "59", "--comment", "by the lake"});
    CHECK(holds(f.ada.must({"contact", "KF1XME", "--amend", f.id(), "--sent", "57"}), "Changed: KF1XME"));
    const auto now = f.list().at(0);
    CHECK(now.at("worked") == "KF1XME");
    CHECK(now.at("sent") == "57");
    CHECK(now.at("comment") == "by the lake");
    CHECK(now.at("history").size() == 2);
    CHECK(holds(f.ada.must({"contact", "--history", f.id()}), "station KF1XME (was KF1XMD)"));
    CHECK(holds(f.ada.must({"contact"}), "[changed]"));
}

TEST_CASE("an empty word takes away what stood there") {
    const Log f;
    f.write("KF1XMD", "2025-03-01T10:00Z", {"--comment", "by the lake"});
    f.ada.must({"contact", "--amend", f.id(), "--comment", ""});
    CHECK(f.list().at(0).at("comment") == "");
}

TEST_CASE("a contact that is struck out is listed apart and comes back when it is changed") {
    const Log f;
    f.write("KF1XMD", "2025-03-01T10:00Z");
    const std::string id = f.id();
    f.ada.must({"contact", "--strike", id, "--reason", "never happened"});
    CHECK(f.list().empty());
    CHECK(f.list({"--struck"}).size() == 1);
    f.ada.must({"contact", "--amend", id, "--sent", "59"});
    CHECK(f.list().size() == 1);
}

TEST_CASE("what cannot be changed is refused with one sentence, and nothing is lost") {
    const Log f;
    f.write("KF1XMD", "2025-03-01T10:00Z");
    const std::string before = all_of_store(f.ada);
    CHECK(holds(refusal(f.ada.run({"contact", "--amend", "ffff", "--sent", "59"}), 4), "no contact 'ffff'"));
    refusal(f.ada.run({"contact", "--amend", f.id()}), 2);
    refusal(f.ada.run({"contact", "Anna", "--amend", f.id()}), 2);
    refusal(f.ada.run({"contact", "--amend", f.id(), "--at", "2025-01-01T10:00Z"}), 3);
    refusal(f.ada.run({"contact", "--strike", "ffff"}), 4);
    refusal(f.ada.run({"contact", "--history", "ffff"}), 4);
    refusal(f.ada.run({"contact", "--end"}), 4);
    refusal(f.ada.run({"contact", "--tick", "10.11"}), 4);
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("the same contact again is refused until it is said to be another") {
    const Log f;
    f.write("KF1XMD", "2025-03-01T10:00Z");
    const std::vector<std::string> again{"contact", "KF1XMD", "--at",   "2025-03-01T10:05Z",
                                         "--mhz",   "146.94", "--mode", "FM"};
    CHECK(holds(refusal(f.ada.run(again), 3), "in the log already, at 2025-03-01T10:00Z"));
    CHECK(f.list().size() == 1);
    f.write("KF1XMD", "2025-03-01T10:05Z", {"--another"});
    CHECK(f.list().size() == 2);
}

TEST_CASE("a net is taken in from a file of lines, and the bad ones are named by their number") {
    const Log f;
    const std::string file = f.folder.file("net.txt", "KF1XMD 59 57 Anna\nAnna 59\n2015 KF1XAB\n");
    const Outcome outcome = f.ada.run({"contact", "--net", file, "--at", "2025-03-01T20:00Z", "--mhz", "146.94",
                                       "--mode", "FM", "--comment", "Tuesday net"});
    CAPTURE(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(holds(outcome.out, "2 contacts written down, 1 line left out."));
    CHECK(holds(outcome.out, "Line 2: 'Anna' is no call sign"));
    CHECK(f.list().at(0).at("start") == "2025-03-01T20:15Z");
    CHECK(f.list().at(1).at("comment") == "Tuesday net Anna");
}

TEST_CASE("a file of lines without one that can be taken is refused") {
    const Log f;
    CHECK(holds(refusal(f.ada.run({"contact", "--net", f.folder.file("net.txt", "Anna\n")}), 2), "Line 1: 'Anna'"));
    refusal(f.ada.run({"contact", "--net", f.folder.file("none.txt", "\n\n")}), 2);
    CHECK(holds(refusal(f.ada.run({"contact", "--net", "/nowhere/net.txt"}), 4), "/nowhere/net.txt"));
}

TEST_CASE("a contact is begun, ended, or dropped") {
    const Log f;
    f.ada.must({"contact", "KF1XMD", "--begin", "--mhz", "146.94", "--mode", "FM"});
    CHECK(holds(f.ada.must({"contact"}), "Running since"));
    refusal(f.ada.run({"contact", "KF1XAB", "--begin", "--mhz", "146.94", "--mode", "FM"}), 3);
    f.ada.must({"contact", "--end", "--sent", "59"});
    CHECK(f.list().at(0).at("sent") == "59");
    f.ada.must({"contact", "KF1XAB", "--begin", "--mhz", "146.94", "--mode", "FM"});
    f.ada.must({"contact", "--drop"});
    CHECK(f.list().size() == 1);
}

TEST_CASE("the log goes out as ADI and as a table, and comes in again in another store") {
    const Log f;
    f.write("KF1XMD", "2025-03-01T10:00Z", {"--sent", "59", "--comment", "a, \"b\""});
    f.write("DL/KF1XAB", "2025-03-01T11:00Z");
    const Outcome written = f.ada.run({"contact", "--to-adi", "log.adi", "--to-csv", "log.csv"}, f.folder.path());
    CHECK(written.exit_code == 0);
    CHECK(std::filesystem::exists(f.folder.path() / "log.csv"));
    const Log other;
    CHECK(holds(other.ada.must({"contact", "--from-adi", (f.folder.path() / "log.adi").string()}), "2 contacts"));
    auto mine = f.list();
    auto theirs = other.list();
    for (auto* all : {&mine, &theirs}) {
        for (auto& one : *all) one.erase("id");
    }
    CHECK(mine == theirs);
}

TEST_CASE("the list says country and continent, and nothing where nobody can tell") {
    const Log f;
    f.write("DL/KF1XAB", "2025-03-01T11:00Z");
    f.write("Q1ABC", "2025-03-01T12:00Z");
    CHECK(f.list().at(1).at("country") == "Germany");
    CHECK(f.list().at(1).at("continent") == "EU");
    CHECK(f.list().at(0).at("country") == "");
    CHECK(holds(f.ada.must({"contact"}), "Q1ABC (country not known)"));
}

TEST_CASE("what the log shows of the way is listed, and ticked in its owner's word") {
    const Log f;
    f.write("DL/KF1XAB", "2025-03-01T11:00Z", {"--guest-of", "WB0XMN"});
    CHECK(holds(f.ada.must({"contact", "--milestones"}), "Tick it: contact --tick 00.11."));
    f.ada.must({"contact", "--tick", "00.11"});
    f.ada.must({"contact", "--strike", f.id()});
    CHECK_FALSE(holds(f.ada.must({"contact", "--milestones"}), "00.11"));
    f.write("DL/KF1XAB", "2025-03-01T12:00Z");
    CHECK(holds(refusal(f.ada.run({"contact", "--tick", "15.03"}), 3), "exposure"));
}

TEST_CASE("a blank sheet is printed as text and as a page, also before anything is written down") {
    const AdasFolder f;
    const std::string sheet = f.ada.must({"contact", "--sheet"});
    CHECK(holds(sheet, "| UTC  | Call sign    | MHz      | Mode | Gave | Got  | Remark"));
    CHECK(f.ada.run({"contact", "--sheet", "--html", "sheet.html"}, f.folder.path()).exit_code == 0);
    CHECK(std::filesystem::file_size(f.folder.path() / "sheet.html") > 1000);
}
