#include "tests/program/refusals.hpp"
#include "tests/support/node/practice_pool.hpp"

using namespace ladderline::test;

namespace {

std::string field(const std::string& name, const std::string& value) {
    return "<" + name + ":" + std::to_string(value.size()) + ">" + value;
}

std::string record(const std::string& call, const std::string& day) {
    return field("CALL", call) + field("QSO_DATE", day) + field("TIME_ON", "1200") + field("FREQ", "146.52") +
           field("MODE", "FM") + "<EOR>\n";
}

// Ada's grant has been visible since 2025-02-01.
struct Licensed : AdasFolder {
    Licensed() {
        ada.must({"tick", "3.8", "--on", "2025-01-10", "--evidence", "certificate in hand"});
        ada.must({"tick", "4.3", "--on", "2025-01-20"});
        ada.must({"tick", "4.6", "--on", "2025-02-01", "--evidence", "KD0XAA"});
    }

    Outcome take_in(const std::string& adi) const {
        return ada.run({"contact", "--from-adi", folder.file("log.adi", adi)});
    }
    std::size_t contacts() const { return nlohmann::json::parse(ada.must({"--json", "contact"})).size(); }
};

const std::string header = "A log of ours <ADIF_VER:5>3.1.4<EOH>\n";

}  // namespace

TEST_CASE("a contact before the grant is refused and nothing is written down") {
    const AdasFolder f;
    const std::string before = all_of_store(f.ada);
    const std::vector<std::string> contact{"contact", "KF1XMD", "--at",   "2025-03-01T10:00Z",
                                           "--mhz",   "146.52", "--mode", "FM"};
    CHECK(holds(refusal(f.ada.run(contact), 3), "Nothing was written down"));
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("a contact of the days before the grant is refused after it too") {
    const Licensed f;
    const std::string before = all_of_store(f.ada);
    const std::vector<std::string> contact{"contact", "KF1XMD", "--at",   "2025-01-25T10:00Z",
                                           "--mhz",   "146.52", "--mode", "FM"};
    refusal(f.ada.run(contact), 3);
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("a malformed log file is refused with the byte at which it breaks off, and nothing is lost") {
    const Licensed f;
    REQUIRE(f.take_in(header + record("KF1XMD", "20250301")).exit_code == 0);
    const std::string before = all_of_store(f.ada);
    CHECK(holds(refusal(f.take_in(header + "<CALL:99>KF1XMD"), 2), "(byte 37)"));
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("a file that is no log at all is refused with one sentence") {
    const Licensed f;
    for (const char* text : {"", "nothing of the kind\n", "<CALL:6>KF1XMD<EOR>\n", "<<<<:::>>>>"}) {
        CAPTURE(text);
        refusal(f.take_in(text), 2);
    }
}

TEST_CASE("of a log that is bad in part the good records are kept and the bad ones named") {
    const Licensed f;
    const std::string bad = field("CALL", "KF1XAB") + field("QSO_DATE", "tomorrow") + "<EOR>\n";
    const Outcome outcome = f.take_in(header + record("KF1XMD", "20250301") + bad + record("KF1XAC", "20250302"));
    CHECK(outcome.exit_code == 0);
    CHECK(holds(outcome.out, "Record 2 (byte "));
    CHECK(f.contacts() == 2);
}

TEST_CASE("records from before the grant are left out of a log that is taken in") {
    const Licensed f;
    CHECK(f.take_in(header + record("KF1XMD", "20250101") + record("KF1XAC", "20250302")).exit_code == 0);
    CHECK(f.contacts() == 1);
}

TEST_CASE("a malformed line of a question pool is named by its number and nothing is imported") {
    const AdasFolder f;
    std::string pool = element_2_pool();
    const std::size_t at = pool.find("T1A02 (A)");
    const auto number = std::count(pool.begin(), pool.begin() + static_cast<std::ptrdiff_t>(at), '\n') + 1;
    pool.replace(at, 9, "T1A02 (X)");
    const std::string before = f.ada.must({"--json", "ready"});
    const std::string sentence = refusal(f.ada.run({"practise", "--pool", f.folder.file("pool.txt", pool)}), 2);
    CHECK(holds(sentence, std::to_string(number)));
    CHECK(f.ada.must({"--json", "ready"}) == before);
    CHECK(f.ada.run({"ready", "--element", "2"}).exit_code == 4);
}

TEST_CASE("a good pool is taken in") {
    const AdasFolder f;
    CHECK(f.ada.run({"practise", "--pool", f.folder.file("pool.txt", element_2_pool())}).exit_code == 0);
    CHECK(f.ada.run({"ready", "--element", "2"}).exit_code == 0);
}

TEST_CASE("files that are not there are named") {
    const AdasFolder f;
    CHECK(holds(refusal(f.ada.run({"practise", "--pool", "/nowhere/pool.txt"}), 4), "/nowhere/pool.txt"));
    CHECK(holds(refusal(f.ada.run({"contact", "--from-adi", "/nowhere/log.adi"}), 4), "/nowhere/log.adi"));
}

TEST_CASE("a file is looked for where its name was typed, though the node runs elsewhere") {
    const Licensed f;
    f.folder.file("log.adi", header + record("KF1XMD", "20250301"));
    RunningProgram node(f.ada);
    const Outcome outcome = f.ada.run({"contact", "--from-adi", "log.adi"}, f.folder.path());
    CAPTURE(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(node.stop() == 0);
}
