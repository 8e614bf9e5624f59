#include "node/commands/contact_lines.hpp"

#include <algorithm>

#include "tests/unit/node/commands/log_fixture.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

node::LinesRequest net(LogPath& p, const std::string& text) {
    node::LinesRequest out;
    out.text = text;
    out.start = p.clock.now;
    out.frequency = "146.94";
    out.mode = "FM";
    return out;
}

// "KD0XBB 2026-03-02T18:00Z 146.94 FM 59 57 Anna", oldest first.
std::vector<std::string> log_lines_of(LogPath& p) {
    std::vector<std::string> out;
    for (const auto& view : p.log_of(p.ana).contacts) {
        const auto& c = view.contact;
        out.push_back(c.worked + " " + to_iso_minute(c.start) + " " + c.frequency + " " + c.mode + " " + c.sent + " " +
                      c.received + " " + c.comment);
    }
    std::reverse(out.begin(), out.end());
    return out;
}

}  // namespace

TEST_CASE("a net is one start, one frequency and a line a station") {
    LogPath p;
    auto request = net(p, "KD0XBB 59 57 Anna\n\n# latecomers\nKD0XCC\n");
    request.comment = "Tuesday net";
    const auto done = must(node::log_lines(p.ana.context, request));
    CHECK(done.taken == 2);
    CHECK(done.left.empty());
    CHECK(done.rest.empty());
    CHECK(log_lines_of(p) == std::vector<std::string>{"KD0XBB 2026-03-02T18:00Z 146.94 FM 59 57 Tuesday net Anna",
                                                      "KD0XCC 2026-03-02T18:00Z 146.94 FM   Tuesday net"});
}

TEST_CASE("a bad line has its own sentence and stays, and the good ones are taken") {
    LogPath p;
    const auto done =
        must(node::log_lines(p.ana.context, net(p, "KD0XBB 59\nAnna 59\nKD0XCC 999.9.9\nKD0XDD 0.0 59\n")));
    CHECK(done.taken == 2);
    REQUIRE(done.left.size() == 2);
    CHECK(done.left[0].number == 2);
    CHECK(done.left[0].sentence.find("'Anna' is no call sign") == 0);
    CHECK(done.left[1].number == 4);
    CHECK(done.rest == "Anna 59\nKD0XDD 0.0 59\n");
}

TEST_CASE("what is left can be put right and sent again, and what was taken is not taken twice") {
    LogPath p;
    p.clock.to("2026-03-03T06:00Z");
    auto request = net(p, "2330 KD0XBB\n0010 Anna\n");
    request.start = utc("2026-03-02T23:00Z");
    const auto done = must(node::log_lines(p.ana.context, request));
    CHECK(done.taken == 1);
    std::string rest = done.rest;
    rest.replace(rest.find("Anna"), 4, "KD0XCC");
    request.text = "2330 KD0XBB\n" + rest;
    const auto again = must(node::log_lines(p.ana.context, request));
    CHECK(again.taken == 1);
    REQUIRE(again.left.size() == 1);
    CHECK(again.left[0].is_double);
    CHECK(log_lines_of(p) ==
          std::vector<std::string>{"KD0XBB 2026-03-02T23:30Z 146.94 FM   ", "KD0XCC 2026-03-03T00:10Z 146.94 FM   "});
}

TEST_CASE("a sheet of paper with days, times and a frequency a row is typed back in") {
    LogPath p;
    p.clock.to("2026-03-05T12:00Z");
    auto request =
        net(p, "2026-03-03\n2350 KD0XBB 7.2 SSB 59 57\n0010 KD0XCC\n2026-03-04\n0005 KD0XDD CW 599 589 slow\n");
    const auto done = must(node::log_lines(p.ana.context, request));
    CHECK(done.left.empty());
    CHECK(log_lines_of(p) == std::vector<std::string>{"KD0XBB 2026-03-03T23:50Z 7.2 SSB 59 57 ",
                                                      "KD0XDD 2026-03-04T00:05Z 146.94 CW 599 589 slow",
                                                      "KD0XCC 2026-03-04T00:10Z 146.94 FM   "});
}

TEST_CASE("times of a sheet may be by the own clock") {
    LogPath p;
    p.clock.to("2026-03-10T12:00Z");
    auto request = net(p, "2026-03-07\n1900 KD0XBB\n2026-03-08\n0230 KD0XCC\n0330 KD0XDD\n");
    request.zone = must(domain::Zone::find("America/New_York"));
    const auto done = must(node::log_lines(p.ana.context, request));
    CHECK(done.taken == 2);
    REQUIRE(done.left.size() == 1);
    CHECK(done.left[0].sentence.find("Clocks are put forward") == 0);
    CHECK(done.rest == "2026-03-08\n0230 KD0XCC\n");
    CHECK(log_lines_of(p)[0] == "KD0XBB 2026-03-08T00:00Z 146.94 FM   ");
    CHECK(log_lines_of(p)[1] == "KD0XDD 2026-03-08T07:30Z 146.94 FM   ");
}

TEST_CASE("a line without a time below one that has a time is asked for it") {
    LogPath p;
    const auto done = must(node::log_lines(p.ana.context, net(p, "1700 KD0XBB\nKD0XCC\n")));
    CHECK(done.taken == 1);
    REQUIRE(done.left.size() == 1);
    CHECK(done.left[0].sentence.find("It needs a time") == 0);
}

TEST_CASE("text without a line, and a line whose day has not come, are refused and store nothing") {
    LogPath p;
    const auto events = p.ana.events();
    CHECK(must_fail(node::log_lines(p.ana.context, net(p, "\n# nothing\n"))).fault() == Fault::bad_input);
    const auto done = must(node::log_lines(p.ana.context, net(p, "2030-01-01\n1200 KD0XBB\n")));
    CHECK(done.taken == 0);
    REQUIRE(done.left.size() == 1);
    CHECK(done.left[0].sentence.find("has not come yet") != std::string::npos);
    CHECK(p.ana.events() == events);
}

TEST_CASE("the same station, band and mode within a quarter of an hour is said, and stored only when asked to") {
    LogPath p;
    must(node::log_contact(p.ana.context, p.contact()));
    p.clock.pass_minutes(15);
    auto again = p.contact("kd0xbb/p");
    const auto events = p.ana.events();
    const auto refused = must_fail(node::log_contact(p.ana.context, again));
    CHECK(refused.fault() == Fault::refused);
    CHECK(refused.sentence().find("is in the log already, at 2026-03-02T18:00Z.") != std::string::npos);
    CHECK(p.ana.events() == events);
    CHECK(must(node::same_in_log(p.ana.context, again)) == utc("2026-03-02T18:00Z"));
    again.another = true;
    CHECK(node::log_contact(p.ana.context, again).has_value());
}

TEST_CASE("another band, another mode or another quarter of an hour is another contact") {
    LogPath p;
    must(node::log_contact(p.ana.context, p.contact()));
    auto other = p.contact();
    other.frequency = "446.0";
    CHECK(node::log_contact(p.ana.context, other).has_value());
    other = p.contact();
    other.mode = "CW";
    CHECK(node::log_contact(p.ana.context, other).has_value());
    p.clock.pass_minutes(16);
    CHECK(node::log_contact(p.ana.context, p.contact()).has_value());
}

TEST_CASE("a contact that is begun now is in no log until it ends, and then with both times") {
    LogPath p;
    auto request = p.contact();
    request.comment = "by the lake";
    must(node::begin_contact(p.ana.context, request));
    p.clock.pass_minutes(12);
    CHECK(p.log_of(p.ana).contacts.empty());
    CHECK(must_fail(node::begin_contact(p.ana.context, p.contact("KD0XCC"))).fault() == Fault::refused);
    node::ContactRequest more;
    more.sent = "59";
    must(node::end_contact(p.ana.context, more));
    CHECK(log_lines_of(p) ==
          std::vector<std::string>{"KD0XBB 2026-03-02T18:00Z 146.94 FM 59  by the lake, until 18:12 UTC"});
    CHECK_FALSE(must(node::running_contact(p.ana.context)).has_value());
    CHECK(must_fail(node::end_contact(p.ana.context, more)).fault() == Fault::not_found);
}

TEST_CASE("a contact of which nothing came leaves nothing") {
    LogPath p;
    const auto events = p.ana.events();
    must(node::begin_contact(p.ana.context, p.contact()));
    must(node::drop_contact(p.ana.context));
    CHECK_FALSE(must(node::running_contact(p.ana.context)).has_value());
    CHECK(p.ana.events() == events);
    CHECK(must_fail(node::drop_contact(p.ana.context)).fault() == Fault::not_found);
}

TEST_CASE("one that could not be written down is not begun, and one that ends as a double runs on") {
    LogPath p;
    CHECK(must_fail(node::begin_contact(p.ana.context, p.contact("Anna"))).fault() == Fault::bad_input);
    must(node::begin_contact(p.ana.context, p.contact()));
    must(node::log_contact(p.ana.context, p.contact()));
    CHECK(must_fail(node::end_contact(p.ana.context, {})).fault() == Fault::refused);
    CHECK(must(node::running_contact(p.ana.context)).has_value());
}

TEST_CASE("the next contact begins as the last one, and a guest is no guest any more the day after") {
    LogPath p;
    auto request = p.contact();
    request.guest_of = "WB0XMN";
    must(node::log_contact(p.ana.context, request));
    auto usual = node::usual_contact(p.ana.context, p.log_of(p.ana));
    CHECK(usual.frequency == "146.94");
    CHECK(usual.mode == "FM");
    CHECK(usual.guest_of == "WB0XMN");
    CHECK(usual.worked.empty());
    p.clock.pass_days(2);
    CHECK(node::usual_contact(p.ana.context, p.log_of(p.ana)).guest_of.empty());
}
