#include "node/domain/radio/adif.hpp"

#include <doctest/doctest.h>

#include "tests/support/domain/pairing_instances.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

const std::string good = "<CALL:6>KD0XAA<QSO_DATE:8>20261125<TIME_ON:4>1905<BAND:3>20m<MODE:3>SSB<EOR>";

std::string calls_of(const AdifFile& file) {
    std::string out;
    for (const AdifRecord& record : file.records) out += std::string(record.value("CALL")) + " ";
    return out;
}

// A file of two good records around a bad one.
AdifFile with_bad_record(const std::string& bad) {
    return read_adi("<CALL:6>KD0XAA<EOR>\n" + bad + "\n<CALL:6>KF1XQB<EOR>");
}

LogEntry entry() {
    LogEntry out;
    out.call = "KD0XAA";
    out.start = parse_utc("2026-11-25T19:05:07Z").value();
    out.frequency_hz = 14'074'000;
    out.band = find_band("20m");
    out.mode = {"FT8", ""};
    out.rst_sent = "-12";
    out.rst_received = "+03";
    out.station_callsign = "WB0XMN";
    out.operator_call = "KF1XQB";
    out.gridsquare = "FN31pr";
    out.comment = "says <hello:5> and <EOR> too";
    return out;
}

}  // namespace

TEST_CASE("a record gives back its fields, with names in upper case") {
    const AdifFile file = read_adi("<call:6>KD0XAA <Band:3:S>20m\r\n<eor>\r\n");
    REQUIRE(file.records.size() == 1);
    CHECK(file.problems.empty());
    CHECK(file.records[0].value("CALL") == "KD0XAA");
    CHECK(file.records[0].value("BAND") == "20m");
    CHECK(file.records[0].fields[1].type == 'S');
    CHECK(file.records[0].value("MODE").empty());
}

TEST_CASE("a file that does not begin with a field has a header up to its end mark") {
    const AdifFile file = read_adi("Some words <of mine>\n<ADIF_VER:5>3.1.7 <PROGRAMID:4>Four<EOH>" + good);
    CHECK(file.header.value("ADIF_VER") == "3.1.7");
    CHECK(file.header.value("PROGRAMID") == "Four");
    CHECK(calls_of(file) == "KD0XAA ");
    CHECK(file.problems.empty());
    CHECK(file.records[0].number == 1);
}

TEST_CASE("a header without free text is still a header") {
    const AdifFile file = read_adi("<ADIF_VER:5>3.1.7<EOH>" + good);
    CHECK(file.header.value("ADIF_VER") == "3.1.7");
    CHECK(calls_of(file) == "KD0XAA ");
    CHECK(file.records[0].number == 1);
}

TEST_CASE("a header that never ends costs no contact") {
    const AdifFile file = read_adi(
        "\xEF\xBB\xBF"
        "free words\n" +
        good);
    CHECK(calls_of(file) == "KD0XAA ");
    REQUIRE(file.problems.size() == 1);
    CHECK(file.problems[0].record_number == 0);
}

TEST_CASE("the length rules over whatever the data hold") {
    const AdifFile file = read_adi("<COMMENT:13>a<CALL:3>W1<b<CALL:6>KD0XAA<EOR><COMMENT:9>ends <EOR<EOR>");
    REQUIRE(file.records.size() == 2);
    CHECK(file.records[0].value("COMMENT") == "a<CALL:3>W1<b");
    CHECK(file.records[0].value("CALL") == "KD0XAA");
    CHECK(file.records[1].value("COMMENT") == "ends <EOR");
}

TEST_CASE("leading zeros in a length are read, and a length of nothing is an empty value") {
    const AdifFile file = read_adi("<CALL:0006>KD0XAA<NAME:0><QTH:0>ignored <EOR>");
    REQUIRE(file.records.size() == 1);
    CHECK(file.records[0].value("CALL") == "KD0XAA");
    CHECK(file.records[0].value("NAME").empty());
}

TEST_CASE("a malformed record is told with its number and byte, and its neighbours are kept") {
    struct Row {
        const char* bad;
        std::size_t byte;
        const char* reason;
    };
    static constexpr Row rows[] = {
        {"<CALL>WB0XMN<EOR>", 20, "has no length"},
        {"<CALL:x>WB0XMN<EOR>", 20, "not a number"},
        {"<CALL:-6>WB0XMN<EOR>", 20, "not a number"},
        {"<CALL:+6>WB0XMN<EOR>", 20, "not a number"},
        {"<CALL:>WB0XMN<EOR>", 20, "not a number"},
        {"<CALL:6.0>WB0XMN<EOR>", 20, "not a number"},
        {"<CALL:99999999999999999999999>WB0XMN<EOR>", 20, "beyond 65536"},
        {"<CALL:70000>WB0XMN<EOR>", 20, "beyond 65536"},
        {"<CALL:6:>WB0XMN<EOR>", 20, "one letter"},
        {"<CALL:6:SS>WB0XMN<EOR>", 20, "one letter"},
        {"<:6>WB0XMN<EOR>", 20, "no usable name"},
        {"<BAND:3>20m<CALL:6WB0XMN<EOR>", 31, "no '>' closes"},
        {"<BAND:3>20m<CALL:600>WB0XMN<EOR>", 31, "the file ends"},
        {"<BAND:3>20m<CALL:20>WB0XMN<EOR>", 31, "swallows"},
        {"<CALL:6>WB0XMN<CALL:6>WB0XMO<EOR>", 34, "twice"},
        {"<CALL:9>WB0XMN<EOR>", 40, "twice"},
        {"<CALL:6>WB0XMN<EOH><EOR>", 34, "end of header"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.bad);
        const AdifFile file = with_bad_record(row.bad);
        CHECK(calls_of(file) == "KD0XAA KF1XQB ");
        REQUIRE(file.problems.size() == 1);
        const AdifProblem& problem = file.problems[0];
        CHECK(problem.record_number == 2);
        CHECK(problem.byte_position == row.byte);
        CHECK(problem.sentence.find(row.reason) != std::string::npos);
        CHECK(problem.sentence.find("Record 2 (byte " + std::to_string(row.byte) + ")") == 0);
        CHECK(file.records[1].number == 3);
    }
}

TEST_CASE("a length that is too small keeps the record and is told") {
    const AdifFile file = read_adi("<CALL:6>KD0XAA<QTH:4>Ashford<EOR>");
    CHECK(calls_of(file) == "KD0XAA ");
    REQUIRE(file.problems.size() == 1);
    CHECK(file.problems[0].sentence.find(" is kept, but look at it: ") != std::string::npos);
    CHECK(file.problems[0].sentence.find("'Ashf'") != std::string::npos);
}

TEST_CASE("a file that is cut off loses its last record only") {
    const AdifFile file = read_adi(good + "<CALL:6>KF1XQB<BAND:3>20m");
    CHECK(calls_of(file) == "KD0XAA ");
    REQUIRE(file.problems.size() == 1);
    CHECK(file.problems[0].sentence.find("cut off") != std::string::npos);
}

TEST_CASE("bytes outside the character set do not get in unseen") {
    const AdifFile file = read_adi("<CALL:6>KD0XAA<NAME:5>Zo\xC3\xABx<QTH:3>a\x01\xFF<EOR>");
    REQUIRE(file.records.size() == 1);
    CHECK(file.records[0].value("NAME") == "Zo\xC3\xABx");
    CHECK(file.records[0].value("QTH") == "a??");
}

TEST_CASE("every cut of a file is read without harm and keeps the whole records before it") {
    const std::string one = write_adi({}, std::vector<LogEntry>{entry()});
    const std::string text = write_adi({}, std::vector<LogEntry>{entry(), entry()});
    constexpr std::size_t line_end = 2;  // behind a record, and no part of it
    for (std::size_t size = 0; size <= text.size(); ++size) {
        CAPTURE(size);
        const Log log = read_log(std::string_view(text).substr(0, size));
        const std::size_t whole = (size + line_end >= one.size() ? 1 : 0) + (size + line_end >= text.size() ? 1 : 0);
        CHECK(log.entries.size() == whole);
        for (const LogEntry& read : log.entries) CHECK(read == entry());
    }
}

TEST_CASE("random bytes are read without harm") {
    ladderline::test::SplitMix random{11};
    static constexpr std::string_view alphabet = "<>:EORHCAL0123456789 s\n\xC3\x80";
    for (int round = 0; round < 2000; ++round) {
        std::string text;
        const int size = random.below(80);
        for (int k = 0; k < size; ++k) text += alphabet[static_cast<std::size_t>(random.below(alphabet.size()))];
        const AdifFile file = read_adi(text);
        CHECK(file.records.size() + file.problems.size() <= text.size() + 1);
    }
}

TEST_CASE("a record becomes a contact in our terms") {
    const Log log = read_log(
        "<CALL:6>kd0xaa<QSO_DATE:8>20261125<TIME_ON:6>190507<FREQ:6>14.250<MODE:3>USB<RST_SENT:2>59<RST_RCVD:2>57"
        "<STATION_CALLSIGN:6>wb0xmn<OPERATOR:6>KF1XQB<GRIDSQUARE:4>FN31<COMMENT:5>first<EOR>");
    CHECK(log.problems.empty());
    REQUIRE(log.entries.size() == 1);
    const LogEntry& read = log.entries[0];
    CHECK(read.call == "KD0XAA");
    CHECK(to_iso_second(read.start) == "2026-11-25T19:05:07Z");
    CHECK(read.frequency_hz == 14'250'000);
    CHECK(read.band->name == "20m");
    CHECK(read.mode == Mode{"SSB", "USB"});
    CHECK(read.rst_sent == "59");
    CHECK(read.rst_received == "57");
    CHECK(read.station_callsign == "WB0XMN");
    CHECK(read.operator_call == "KF1XQB");
    CHECK(read.gridsquare == "FN31");
    CHECK(read.comment == "first");
}

TEST_CASE("a record that is no contact says what is missing or wrong") {
    struct Row {
        const char* record;
        const char* reason;
    };
    static constexpr Row rows[] = {
        {"<QSO_DATE:8>20261125<TIME_ON:4>1905<BAND:3>20m<MODE:2>CW<EOR>", "no CALL"},
        {"<CALL:6>KD0XAA<TIME_ON:4>1905<BAND:3>20m<MODE:2>CW<EOR>", "no QSO_DATE"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>20261125<BAND:3>20m<MODE:2>CW<EOR>", "no TIME_ON"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>20260230<TIME_ON:4>1905<BAND:3>20m<MODE:2>CW<EOR>", "not a date"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>19291231<TIME_ON:4>1905<BAND:3>20m<MODE:2>CW<EOR>", "not a date"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>20261125<TIME_ON:4>2400<BAND:3>20m<MODE:2>CW<EOR>", "not a time of day"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>20261125<TIME_ON:5>19055<BAND:3>20m<MODE:2>CW<EOR>", "not a time of day"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>20261125<TIME_ON:4>1905<MODE:2>CW<EOR>", "neither BAND nor FREQ"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>20261125<TIME_ON:4>1905<BAND:3>75m<MODE:2>CW<EOR>", "no band"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>20261125<TIME_ON:4>1905<FREQ:5>1.4e1<MODE:2>CW<EOR>", "not a frequency"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>20261125<TIME_ON:4>1905<BAND:3>20m<FREQ:5>7.050<MODE:2>CW<EOR>", "contradict"},
        {"<CALL:6>KD0XAA<QSO_DATE:8>20261125<TIME_ON:4>1905<BAND:3>20m<EOR>", "no MODE"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.record);
        const Log log = read_log(good + row.record + good);
        CHECK(log.entries.size() == 2);
        REQUIRE(log.problems.size() == 1);
        CHECK(log.problems[0].record_number == 2);
        CHECK(log.problems[0].sentence.find(row.reason) != std::string::npos);
    }
}

TEST_CASE("a frequency outside all bands is a contact without a band") {
    const Log log = read_log("<CALL:6>KD0XAA<QSO_DATE:8>20261125<TIME_ON:4>1905<FREQ:6>27.205<MODE:2>AM<EOR>");
    REQUIRE(log.entries.size() == 1);
    CHECK(log.entries[0].band == nullptr);
    CHECK(log.entries[0].frequency_hz == 27'205'000);
}

TEST_CASE("what is written is read back as it was") {
    LogEntry plain;
    plain.call = "WB0XMN";
    plain.start = parse_utc("1930-01-01T00:00Z").value();
    plain.band = find_band("2m");
    plain.mode = {"FM", ""};
    const std::vector<LogEntry> entries{entry(), plain};
    const Log log = read_log(write_adi({"Ladderline", "1.0", entry().start}, entries));
    CHECK(log.problems.empty());
    CHECK(log.entries == entries);
}

TEST_CASE("the writer keeps to the character set and counts what it writes") {
    LogEntry odd = entry();
    odd.comment = "Zo\xC3\xAB\r\nsaid\thi";
    const std::string text = write_adi({}, std::vector<LogEntry>{odd});
    CHECK(text.find("<COMMENT:11>Zo? said?hi") != std::string::npos);
    for (const char c : text) CHECK(((c >= 32 && c < 127) || c == '\r' || c == '\n'));
}

TEST_CASE("a header says which rules and which program") {
    const std::string text = write_adi({"Ladderline", "1.0", parse_utc("2026-11-25T19:05:07Z").value()}, {});
    const AdifFile file = read_adi(text);
    CHECK(text.front() != '<');
    CHECK(file.header.value("ADIF_VER") == "3.1.7");
    CHECK(file.header.value("PROGRAMVERSION") == "1.0");
    CHECK(file.header.value("CREATED_TIMESTAMP") == "20261125 190507");
    CHECK(file.records.empty());
}

TEST_CASE("megahertz are read exactly to the hertz") {
    CHECK(parse_megahertz("14.074").value() == 14'074'000);
    CHECK(parse_megahertz(".1357").value() == 135'700);
    CHECK(parse_megahertz("7").value() == 7'000'000);
    CHECK(parse_megahertz("10368.1000004").value() == 10'368'100'000);
    CHECK(parse_megahertz("10368.1000005").value() == 10'368'100'001);
    for (const char* bad :
         {"", ".", "-14.0", "14,074", "1.4e1", "14.0.1", "0", "0.0000001", "7500000.1", "99999999999999999999"}) {
        CAPTURE(bad);
        CHECK_FALSE(parse_megahertz(bad));
    }
    CHECK(to_megahertz(14'074'000) == "14.074");
    CHECK(to_megahertz(7'000'000) == "7");
    CHECK(to_megahertz(135'700) == "0.1357");
}

TEST_CASE("a length that reaches over many records spoils each of them, and the good one behind them is kept") {
    // Each claims up to the end of a later record, so that all look swallowed.
    std::string text;
    for (int i = 0; i < 20'000; ++i) text += "<CALL:0><NAME:60000><EOR>x";
    const AdifFile file = read_adi(text + good);
    CHECK(file.records.back().value("CALL") == "KD0XAA");
}

TEST_CASE("a record of very many fields is read, each name once") {
    std::string text;
    for (int i = 0; i < 60'000; ++i) text += "<F" + std::to_string(i) + ":1>x";
    const AdifFile file = read_adi(text + "<EOR>" + text + "<F7:1>x<EOR>");
    REQUIRE(file.records.size() == 1);
    CHECK(file.records[0].fields.size() == 60'000);
    CHECK(file.problems.size() == 1);
}

TEST_CASE("a file of bad records alone has a problem for each") {
    std::string text;
    for (int i = 0; i < 60'000; ++i) text += "<X><EOR>";
    CHECK(read_adi(text).problems.size() == 60'000);
}

TEST_CASE("a sentence quotes the beginning of a long value, on one line") {
    const std::string value(5000, 'y');
    const Log log = read_log("<CALL:6>KD0XAA<QSO_DATE:5000>" + value + "<TIME_ON:4>1905<BAND:3>20m<MODE:3>SSB<EOR>" +
                             "<CALL:6>KD0XAA<QSO_DATE:3>1\n2<TIME_ON:4>1905<EOR>");
    REQUIRE(log.problems.size() == 2);
    for (const AdifProblem& problem : log.problems) {
        CHECK(problem.sentence.size() < 200);
        CHECK(problem.sentence.find('\n') == std::string::npos);
    }
}
