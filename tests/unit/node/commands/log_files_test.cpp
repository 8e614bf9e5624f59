#include "node/commands/log_files.hpp"

#include <algorithm>

#include "tests/unit/node/commands/log_fixture.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

std::string field(const std::string& name, const std::string& value) {
    return "<" + name + ":" + std::to_string(value.size()) + ">" + value;
}

std::string record(const std::string& call, const std::string& time, const std::string& more = "") {
    return field("CALL", call) + field("QSO_DATE", "20260302") + field("TIME_ON", time) + field("BAND", "2m") +
           field("MODE", "FM") + more + "<EOR>\n";
}

}  // namespace

TEST_CASE("a record under another station's call sign is taken in as its guest's") {
    LogPath p;
    const auto log = must(node::import_adi(
        p.ana.context, {record("KD0XBB", "1700", field("STATION_CALLSIGN", "WB0XMN") + field("OPERATOR", "KD0XAA")) +
                        record("KD0XCC", "1710", field("STATION_CALLSIGN", "KD0XAA/P"))}));
    CHECK(log.added == 2);
    CHECK(log.as_guest == 1);
    const auto contacts = p.log_of(p.ana).contacts;
    CHECK(contacts.at(1).contact.operated_by == "WB0XMN");
    CHECK(contacts.at(0).contact.operated_by.empty());
}

TEST_CASE("before a grant no file makes somebody their own guest") {
    SetClock clock;
    MemberNode ana(clock, 1);
    begin_as(ana, "Ana", protocol::MemberRole::newcomer);
    clock.to("2026-03-02T18:00Z");
    const std::string text = record("KD0XBB", "1700", field("STATION_CALLSIGN", "KD0XAA"));
    CHECK(must_fail(node::import_adi(ana.context, {text})).fault() == Fault::refused);
}

TEST_CASE("a record that looks like a contact in the log is named, and taken only when asked to") {
    LogPath p;
    CHECK(must(node::import_adi(p.ana.context, {record("KD0XBB", "1700")})).added == 1);
    const std::string text = record("KD0XBB", "1700") + record("KD0XBB", "1707") + record("KD0XBB", "1730");
    const auto log = must(node::import_adi(p.ana.context, {text}));
    CHECK(log.known == 1);
    CHECK(log.added == 1);
    REQUIRE(log.left_out.size() == 1);
    CHECK(log.left_out[0].find("is in the log already, at 2026-03-02T17:00Z.") != std::string::npos);
    CHECK(must(node::import_adi(p.ana.context, {text, "", true})).added == 1);
}

TEST_CASE("fields without a place here are named") {
    LogPath p;
    const auto log = must(node::import_adi(
        p.ana.context, {record("KD0XBB", "1700", field("NAME", "Anna") + field("TX_PWR", "50") + "<NOTES:0>")}));
    CHECK(log.unused_fields == std::vector<std::string>{"NAME", "TX_PWR"});
}

TEST_CASE("the finer name of a mode goes in and comes out again") {
    LogPath p;
    const std::string text = field("CALL", "KD0XBB") + field("QSO_DATE", "20260302") + field("TIME_ON", "170005") +
                             field("FREQ", "7.0475") + field("MODE", "MFSK") + field("SUBMODE", "FT4") + "<EOR>";
    must(node::import_adi(p.ana.context, {text}));
    CHECK(p.log_of(p.ana).contacts.at(0).contact.mode == "FT4");
    const auto back = domain::read_log(must(node::own_log_files(p.ana.context)).adi);
    REQUIRE(back.entries.size() == 1);
    CHECK(back.entries[0].mode == domain::Mode{"MFSK", "FT4"});
    CHECK(to_iso_second(back.entries[0].start) == "2026-03-02T17:00:05Z");
}

// ADIF 3.1.4: the Submode enumeration has QPSK31 under PSK and "OLIVIA 8/500" under OLIVIA; a GRIDSQUARE has 2, 4, 6 or
// 8 characters.
TEST_CASE("a finer name of a mode that finds no place here is said, and its contact is kept") {
    LogPath p;
    const auto sent = [](const char* call, const char* mode, const char* submode) {
        return field("CALL", call) + field("QSO_DATE", "20260302") + field("TIME_ON", "1700") + field("BAND", "20m") +
               field("MODE", mode) + field("SUBMODE", submode) + "<EOR>\n";
    };
    const auto log =
        must(node::import_adi(p.ana.context, {sent("KD0XBB", "PSK", "QPSK31") + sent("KD0XCC", "PSK", "PSK31") +
                                              sent("KD0XDD", "OLIVIA", "OLIVIA 8/500")}));
    CHECK(log.added == 3);
    CHECK(log.left_out.empty());
    REQUIRE(log.shortened.size() == 2);
    CHECK(log.shortened[0] == "KD0XBB 2026-03-02T17:00Z: kept as PSK; there is no place here for QPSK31.");
    CHECK(log.shortened[1] == "KD0XDD 2026-03-02T17:00Z: kept as OLIVIA; there is no place here for OLIVIA 8/500.");
}

TEST_CASE("a locator that cannot be used is left out and said, and its contact is kept") {
    LogPath p;
    const auto log = must(node::import_adi(p.ana.context, {record("KD0XBB", "1700", field("GRIDSQUARE", "JN"))}));
    CHECK(log.added == 1);
    CHECK(log.left_out.empty());
    REQUIRE(log.shortened.size() == 1);
    CHECK(log.shortened[0].starts_with("KD0XBB 2026-03-02T17:00Z: kept without its locator. "));
    CHECK(p.log_of(p.ana).contacts.at(0).contact.locator.empty());
}

TEST_CASE("what ADI has no room for is counted, and the table has it whole") {
    LogPath p;
    auto request = p.contact();
    request.comment = "Grüße, \"viele\"\nvon Änne";
    p.log(request);
    const auto files = must(node::own_log_files(p.ana.context));
    CHECK(files.contacts == 1);
    CHECK(files.changed_characters == 1);
    CHECK(files.adi.find("<COMMENT:23>Gr??e, \"viele\" von ?nne") != std::string::npos);
    CHECK(files.csv.find(",\"Grüße, \"\"viele\"\"\nvon Änne\"\r\n") != std::string::npos);
    CHECK(files.csv.find("2026-03-02,18:00:00,KD0XBB,United States of America,146.94,2m,FM,") != std::string::npos);
}

TEST_CASE("reading a long file can be stopped, and reading it again brings the rest") {
    LogPath p;
    std::string text;
    for (int i = 0; i < 1200; ++i) {
        std::string call = "KD0XAA";
        call[4] = static_cast<char>('A' + i / 26 % 26);
        call[5] = static_cast<char>('A' + i % 26);
        call[1] = static_cast<char>('A' + i / 676);
        text += record(call, "1700");
    }
    p.ana.context.going_on = [](std::uint64_t done, std::uint64_t) { return done < 1000; };
    CHECK(must_fail(node::import_adi(p.ana.context, {text})).fault() == Fault::cancelled);
    CHECK(p.log_of(p.ana).contacts.size() == 1000);
    p.ana.context.going_on = {};
    const auto rest = must(node::import_adi(p.ana.context, {text}));
    CHECK(rest.known == 1000);
    CHECK(rest.added == 200);
}
