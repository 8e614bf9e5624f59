#include "node/commands/export.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>

#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "node/commands/contacts.hpp"
#include "node/commands/event_text.hpp"
#include "node/commands/log_files.hpp"
#include "node/commands/meetings.hpp"
#include "node/commands/plain_text.hpp"
#include "node/commands/stations.hpp"
#include "node/commands/study.hpp"
#include "protocol/event/checked_body.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/station_bodies.hpp"
#include "protocol/event/study_bodies.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

namespace fs = std::filesystem;
using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

const std::string odd_name = "Ana \"Annie\" Fox, the second\nof that name";

std::string text_of(const fs::path& file) {
    std::ostringstream out;
    out << std::ifstream(file, std::ios::binary).rdbuf();
    return out.str();
}

// Tables by RFC 4180: rows of cells, the first row the names of the columns.
std::vector<std::vector<std::string>> table(const std::string& text) {
    std::vector<std::vector<std::string>> rows(1);
    std::string cell;
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (quoted && c == '"' && i + 1 < text.size() && text[i + 1] == '"') {
            cell += c;
            ++i;
        } else if (c == '"') {
            quoted = !quoted;
        } else if (!quoted && c == ',') {
            rows.back().push_back(std::move(cell));
            cell.clear();
        } else if (!quoted && c == '\r') {
            rows.back().push_back(std::move(cell));
            cell.clear();
            rows.emplace_back();
            ++i;
        } else {
            cell += c;
        }
    }
    rows.pop_back();
    return rows;
}

struct Exported {
    Exported() {
        std::string name = (fs::temp_directory_path() / "ladderline-export.XXXXXX").string();
        REQUIRE(mkdtemp(name.data()) != nullptr);
        top = name;
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, odd_name, MemberRole::newcomer);
        begin_as(ben, "Ben", MemberRole::mentor);
        join(ana, ben, "Ben", CircleKind::path, MemberRole::mentor);
        tick_item(ana, "04.06", "KD0XAA");
        keep_station();
        node::ContactRequest contact;
        contact.worked = "KD0XBB";
        contact.start = utc("2026-03-02T17:00Z");
        contact.frequency = "146.52";
        contact.mode = "FM";
        contact.comment = "loud, clear";
        must(node::log_contact(ana.context, contact));
        node::MeetRequest meeting;
        meeting.start = utc("2026-03-09T17:00Z");
        meeting.first_frequency = "146.52";
        meeting.words = "Say \"hello\"; then listen, please";
        must(node::meet(ana.context, meeting));
        const auto question = must(node::next_question(ana.context, {}));
        must(node::answer(ana.context, {{}, question.id, question.order, std::uint8_t{0}}));
        must(node::say(ana.context, ana.circle(CircleKind::path), protocol::kind::note,
                       protocol::codec::encode(protocol::NoteBody{"first line\nsecond, \"quoted\""})));
        sync(ana, ben);
    }
    ~Exported() {
        std::error_code ignored;
        fs::remove_all(top, ignored);
    }
    Exported(const Exported&) = delete;
    Exported& operator=(const Exported&) = delete;

    void keep_station() {
        node::StationSheet sheet;
        sheet.name = "home, roof";
        sheet.transmission.frequency_mhz = 14.2;
        sheet.transmission.peak_w = 100;
        sheet.distance_m = 6;
        must(node::keep_sheet(ana.context, sheet));
    }
    std::vector<std::vector<std::string>> rows(const char* file) { return table(text_of(top / "out" / file)); }

    fs::path top;
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode ben{clock, 2};
};

}  // namespace

TEST_CASE("an export holds as many lines as it says, and every event of the store") {
    Exported f;
    const auto counts = must(node::export_all(f.ana.context, f.top / "out"));
    const std::pair<const char*, std::size_t> tables[] = {
        {"members.csv", counts.members},   {"ways.csv", counts.items},        {"statements.csv", counts.statements},
        {"contacts.csv", counts.contacts}, {"meetings.csv", counts.meetings}, {"answers.csv", counts.answers},
        {"notes.csv", counts.notes},       {"pools.csv", counts.pools},       {"club_rows.csv", counts.club_rows},
        {"stations.csv", counts.stations}};
    for (const auto& [file, count] : tables) {
        CAPTURE(file);
        const auto rows = f.rows(file);
        REQUIRE(rows.size() == count + 1);
        for (const auto& row : rows) CHECK(row.size() == rows.front().size());
    }
    CHECK(counts.events == static_cast<std::size_t>(f.ana.events()));
    CHECK(counts.unreadable == 0);
    CHECK(counts.contacts == 1);
    CHECK(counts.meetings == 1);
    CHECK(counts.answers == 1);
    CHECK(counts.notes == 1);
    CHECK(counts.statements >= 1);
    CHECK(counts.ways == 1);
}

TEST_CASE("a name with a comma, quotes and a line break comes back whole from the tables") {
    Exported f;
    must(node::export_all(f.ana.context, f.top / "out"));
    const auto members = f.rows("members.csv");
    CHECK(std::any_of(members.begin(), members.end(), [](const auto& row) { return row.at(3) == odd_name; }));
    CHECK(f.rows("notes.csv").at(1).at(3) == "first line\nsecond, \"quoted\"");
    CHECK(f.rows("contacts.csv").at(1).at(11) == "loud, clear");
    CHECK(f.rows("stations.csv").at(1).at(0) == "home, roof");
    CHECK(f.rows("stations.csv").at(1).at(4) == "100");
}

TEST_CASE("every line of the events is JSON with a body of named fields") {
    Exported f;
    const auto counts = must(node::export_all(f.ana.context, f.top / "out"));
    std::istringstream lines(text_of(f.top / "out" / "events.jsonl"));
    std::size_t read = 0;
    std::map<std::string, nlohmann::json> by_kind;
    for (std::string line; std::getline(lines, line); ++read) {
        const auto event = nlohmann::json::parse(line);
        CHECK(event.at("author").get<std::string>().size() == 64);
        CHECK_FALSE(event.at("body").contains("hex"));
        by_kind[event.at("kind")] = event;
    }
    CHECK(read == counts.events);
    CHECK(by_kind.at("contact").at("body").at("worked") == "KD0XBB");
    CHECK(by_kind.at("tick").at("body").at("evidence") == "KD0XAA");
    CHECK(by_kind.at("note").at("body").at("text") == "first line\nsecond, \"quoted\"");
    CHECK(by_kind.at("found").at("body").at("device").at("label") == "test node");
    CHECK(by_kind.at("meet").at("body").at("start") == "2026-03-09T17:00:00Z");
}

TEST_CASE("an event of an unknown kind or with an unreadable body is kept as hexadecimal digits") {
    store::OpenedEvent event;
    event.body.kind = 999;
    event.body.payload = {0xAB, 0x01};
    CHECK(nlohmann::json::parse(node::event_line(event, "")).at("body").at("hex") == "ab01");
    event.body.kind = protocol::kind::tick;
    CHECK(nlohmann::json::parse(node::event_line(event, "")).at("body").at("hex") == "ab01");
}

namespace {

template <class Body>
nlohmann::json as_exported(std::uint16_t kind) {
    store::OpenedEvent event;
    event.body.kind = kind;
    event.body.payload = protocol::codec::encode(Body{});
    return nlohmann::json::parse(node::event_line(event, ""));
}

}  // namespace

TEST_CASE("every kind of event has a word and names for all its fields") {
    using namespace protocol;
    const nlohmann::json lines[] = {as_exported<FoundBody>(kind::found),
                                    as_exported<AdmitBody>(kind::admit),
                                    as_exported<CertifyBody>(kind::certify),
                                    as_exported<SetRoleBody>(kind::set_role),
                                    as_exported<RemoveBody>(kind::remove),
                                    as_exported<ExtendCutBody>(kind::extend_cut),
                                    as_exported<RotateBody>(kind::rotate_key),
                                    as_exported<LeaveBody>(kind::leave),
                                    as_exported<RevokeBody>(kind::revoke),
                                    as_exported<ConsentBody>(kind::consent),
                                    as_exported<PaperBoxBody>(kind::paper_box),
                                    as_exported<TakeBackBody>(kind::take_back),
                                    as_exported<CardBody>(kind::card),
                                    as_exported<ClubRowBody>(kind::club_row),
                                    as_exported<PairingBody>(kind::pairing),
                                    as_exported<AssignBody>(kind::assign),
                                    as_exported<TickBody>(kind::tick),
                                    as_exported<SignBody>(kind::sign),
                                    as_exported<WithdrawBody>(kind::withdraw),
                                    as_exported<SetAsideBody>(kind::set_aside),
                                    as_exported<MeetBody>(kind::meet),
                                    as_exported<MeetOutcomeBody>(kind::meet_outcome),
                                    as_exported<ContactBody>(kind::contact),
                                    as_exported<NoteBody>(kind::note),
                                    as_exported<AskBody>(kind::ask),
                                    as_exported<TouchBody>(kind::touch),
                                    as_exported<KnownDateBody>(kind::known_date),
                                    as_exported<AmendContactBody>(kind::amend_contact),
                                    as_exported<StrikeContactBody>(kind::strike_contact),
                                    as_exported<PracticeAnswerBody>(kind::practice_answer),
                                    as_exported<MockResultBody>(kind::mock_result),
                                    as_exported<ExplanationBody>(kind::explanation),
                                    as_exported<StudyShareBody>(kind::study_share),
                                    as_exported<ExamTryBody>(kind::exam_try),
                                    as_exported<StationBody>(kind::station),
                                    as_exported<CheckedBody>(kind::checked_on)};
    for (const nlohmann::json& line : lines) {
        CAPTURE(line.dump());
        CHECK_FALSE(line.at("kind").get<std::string>().starts_with("kind "));
        CHECK_FALSE(line.at("body").contains("hex"));
    }
}

TEST_CASE("no secret of the store is in any file of an export, as bytes or as digits") {
    Exported f;
    must(node::export_all(f.ana.context, f.top / "out"));
    std::vector<Bytes> secrets;
    const auto gather = [&](const store::sqlite::Row& row) { secrets.push_back(row.blob(0)); };
    must(f.ana.db().query("SELECT value FROM setting WHERE name LIKE '%\\_seed' ESCAPE '\\' OR name LIKE '%secret'",
                          gather));
    REQUIRE(secrets.size() == 5);
    must(f.ana.db().query("SELECT secret FROM epoch_key", gather));
    must(f.ana.db().query("SELECT secret FROM invite", gather));
    REQUIRE(secrets.size() >= 8);
    std::size_t files = 0;
    for (const auto& entry : fs::directory_iterator(f.top / "out")) {
        const std::string text = text_of(entry.path());
        CAPTURE(entry.path().string());
        for (const Bytes& secret : secrets) {
            CHECK(text.find(std::string(as_text(secret))) == std::string::npos);
            CHECK(text.find(to_hex(secret)) == std::string::npos);
        }
        ++files;
    }
    CHECK(files == 14);
    // The search finds what is there.
    CHECK(text_of(f.top / "out" / "members.csv").find(to_hex(f.ana.id().view())) != std::string::npos);
}

TEST_CASE("an export says that it is not encrypted, and its folder is its owner's alone") {
    Exported f;
    must(node::export_all(f.ana.context, f.top / "out"));
    CHECK(text_of(f.top / "out" / "README.txt").find("NOT ENCRYPTED") != std::string::npos);
    struct stat found {};
    REQUIRE(::stat((f.top / "out").c_str(), &found) == 0);
    CHECK((found.st_mode & 0777) == 0700);
}

TEST_CASE("an export goes into an empty folder, never into one that holds something") {
    Exported f;
    fs::create_directory(f.top / "out");
    must(node::export_all(f.ana.context, f.top / "out"));
    const auto again = must_fail(node::export_all(f.ana.context, f.top / "out"));
    CHECK(again.fault() == Fault::refused);
    CHECK_FALSE(fs::exists(f.top / "out.part"));
}

TEST_CASE("an export that is stopped leaves nothing behind") {
    Exported f;
    const auto stop = [](std::uint64_t, std::uint64_t) { return false; };
    CHECK(must_fail(node::export_all(f.ana.context, f.top / "out", stop)).fault() == Fault::cancelled);
    CHECK(fs::is_empty(f.top));
}

TEST_CASE("the contacts of an export are a log that can be taken in again") {
    Exported f;
    must(node::export_all(f.ana.context, f.top / "out"));
    const auto log = must(node::import_adi(f.ana.context, {text_of(f.top / "out" / "contacts.adi")}));
    CHECK(log.known == 1);
    CHECK(log.added == 0);
}

TEST_CASE("control characters in what others said do not get into a calendar") {
    const std::string text = node::calendar({{"1", utc("2026-03-09T17:00Z"), 30, "a\x1B[2Jb\x7F\tc", "", false}}, {});
    CHECK(text.find("SUMMARY:a[2Jb\tc\r\n") != std::string::npos);
}

TEST_CASE("what lasts minutes has its hour in a calendar, and what lasts the day has its date alone") {
    const WallTime start = utc("2026-03-09T17:00Z");
    CHECK(node::calendar({{"1", start, 30, "a", "", false}}, {})
              .find("DTSTART:20260309T170000Z\r\nDURATION:PT30M\r\nSUMMARY:a\r\n") != std::string::npos);
    CHECK(node::calendar({{"1", start, {}, "a", "", false}}, {}).find("DTSTART;VALUE=DATE:20260309\r\nSUMMARY:a\r\n") !=
          std::string::npos);
}

TEST_CASE("lines of a calendar are at most 75 bytes and no character is cut") {
    std::string title;
    for (int i = 0; i < 100; ++i) title += "\xC3\xA9";  // an e with an accent
    const std::string text = node::calendar({{"1", utc("2026-03-09T17:00Z"), 30, title, "a,b;c\nd", false}}, {});
    std::istringstream lines(text);
    std::string unfolded;
    for (std::string line; std::getline(lines, line);) {
        REQUIRE(line.ends_with('\r'));
        line.pop_back();
        CHECK(line.size() <= 75);
        CHECK((line.size() < 2 || (static_cast<unsigned char>(line[1]) & 0xC0) != 0x80 || line[0] != ' '));
        unfolded += line.starts_with(' ') ? line.substr(1) : "\n" + line;
    }
    CHECK(unfolded.find("SUMMARY:" + title) != std::string::npos);
    CHECK(unfolded.find("DESCRIPTION:a\\,b\\;c\\nd") != std::string::npos);
    CHECK(unfolded.find("DTSTART:20260309T170000Z") != std::string::npos);
}

}  // namespace ladderline
