#include "node/domain/meeting/common_times.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

constexpr std::int32_t at(int hour, int minute = 0) {
    return hour * 60 + minute;
}

Day day(const char* text) {
    return parse_day(text).value();
}
WallTime utc(const std::string& text) {
    return parse_utc(text).value();
}
TimeSpan span(const std::string& from, const std::string& to) {
    return {utc("2026-11-25T" + from + "Z"), utc("2026-11-25T" + to + "Z")};
}

std::string listed(const std::vector<TimeSpan>& spans) {
    std::string out;
    for (const TimeSpan& s : spans) out += to_iso_minute(s.from) + " " + to_iso_minute(s.to) + "\n";
    return out;
}

std::string instants(std::vector<WeeklyWindow> windows, const char* first, std::int32_t days,
                     const char* zone = "Etc/UTC") {
    return listed(to_instants({zone, std::move(windows)}, day(first), days).value());
}

}  // namespace

TEST_CASE("an unknown time zone is a sentence and nothing is thrown") {
    for (const char* name : {"", "Mars/Olympus", "../../etc/passwd", "EST5EDT4", "America"}) {
        CAPTURE(name);
        const auto zone = Zone::find(name);
        REQUIRE_FALSE(zone);
        CHECK(zone.error().fault() == Fault::not_found);
    }
    const Availability nowhere{"Mars/Olympus", {}};
    CHECK_FALSE(to_instants(nowhere, day("2026-11-25"), 7));
    CHECK_FALSE(common_times(Availability{"Etc/UTC", {}}, nowhere, day("2026-11-25"), 7, 0));
    CHECK_FALSE(weekly_common_minutes(nowhere, nowhere, day("2026-11-25")));
    CHECK_FALSE(describe_starts({}, "Etc/UTC", "Mars/Olympus"));
}

TEST_CASE("a window comes once a week") {
    CHECK(instants({{Weekday::wednesday, at(18), at(20)}}, "2026-11-25", 14) ==
          "2026-11-25T18:00Z 2026-11-25T20:00Z\n2026-12-02T18:00Z 2026-12-02T20:00Z\n");
}

TEST_CASE("an end at or before the start is on the next day") {
    CHECK(instants({{Weekday::wednesday, at(23), at(1)}}, "2026-11-25", 3) == "2026-11-25T23:00Z 2026-11-26T01:00Z\n");
    CHECK(instants({{Weekday::wednesday, at(9), at(9)}}, "2026-11-25", 3) == "2026-11-25T09:00Z 2026-11-26T09:00Z\n");
    CHECK(instants({{Weekday::wednesday, at(22), at(24)}}, "2026-11-25", 3) == "2026-11-25T22:00Z 2026-11-26T00:00Z\n");
}

TEST_CASE("a window that began on the day before reaches into the range, and one at its end is cut") {
    CHECK(instants({{Weekday::tuesday, at(23), at(1)}}, "2026-11-25", 1) == "2026-11-25T00:00Z 2026-11-25T01:00Z\n");
    CHECK(instants({{Weekday::wednesday, at(23), at(1)}}, "2026-11-25", 1) == "2026-11-25T23:00Z 2026-11-26T00:00Z\n");
    CHECK(instants({{Weekday::wednesday, at(1), at(2)}}, "2026-11-25", 0).empty());
}

TEST_CASE("windows that overlap or touch become one") {
    CHECK(instants({{Weekday::wednesday, at(10), at(12)},
                    {Weekday::wednesday, at(9), at(11)},
                    {Weekday::wednesday, at(12), at(13)}},
                   "2026-11-25", 1) == "2026-11-25T09:00Z 2026-11-25T13:00Z\n");
}

TEST_CASE("a window on a day that a zone left out does not exist") {
    CHECK(instants({{Weekday::friday, at(9), at(17)}}, "2011-12-26", 9, "Pacific/Apia").empty());
}

TEST_CASE("times outside the day and endless ranges are refused") {
    const auto refused = [](WeeklyWindow window, std::int32_t days) {
        return !to_instants({"Etc/UTC", {window}}, day("2026-11-25"), days);
    };
    CHECK(refused({Weekday::monday, -1, 60}, 7));
    CHECK(refused({Weekday::monday, at(24), 60}, 7));
    CHECK(refused({Weekday::monday, 0, at(24) + 1}, 7));
    CHECK(refused({static_cast<Weekday>(7), 0, 60}, 7));
    CHECK(refused({Weekday::monday, 0, 60}, -1));
    CHECK(refused({Weekday::monday, 0, 60}, 4000));
    CHECK_FALSE(refused({Weekday::monday, 0, at(24)}, 3660));
}

TEST_CASE("common spans keep what both have and is long enough") {
    const std::vector<TimeSpan> a{span("08:00", "10:00"), span("12:00", "15:00")};
    const std::vector<TimeSpan> b{span("09:00", "12:30"), span("14:00", "14:20"), span("14:30", "16:00")};
    CHECK(common_spans(a, b, 0) == std::vector<TimeSpan>{span("09:00", "10:00"), span("12:00", "12:30"),
                                                         span("14:00", "14:20"), span("14:30", "15:00")});
    CHECK(common_spans(a, b, 30) ==
          std::vector<TimeSpan>{span("09:00", "10:00"), span("12:00", "12:30"), span("14:30", "15:00")});
    CHECK(common_spans(a, b, 30) == common_spans(b, a, 30));
    CHECK(common_spans(a, {}, 0).empty());
}

TEST_CASE("a third person is one more cut") {
    const std::vector<TimeSpan> a{span("08:00", "12:00")};
    const std::vector<TimeSpan> b{span("09:00", "13:00")};
    const std::vector<TimeSpan> c{span("10:00", "11:00")};
    CHECK(common_spans(common_spans(a, b, 60), c, 60) == c);
}

TEST_CASE("weekly common minutes are the mean of four weeks") {
    const Availability a{"Etc/UTC", {{Weekday::monday, at(18), at(20)}, {Weekday::saturday, at(9), at(10)}}};
    const Availability b{"Etc/UTC", {{Weekday::monday, at(19), at(22)}, {Weekday::saturday, at(9, 30), at(10)}}};
    CHECK(weekly_common_minutes(a, b, day("2026-11-25")).value() == 90);
}

TEST_CASE("starts are on the half hour, leave room, and keep off what is taken") {
    const std::vector<TimeSpan> spans{span("08:10", "09:40"), span("12:00", "12:50"), span("15:05", "18:00")};
    const auto starts = propose_starts(spans, std::vector<TimeSpan>{span("15:45", "16:10")}, 60, 5);
    CHECK(starts == std::vector<WallTime>{utc("2026-11-25T08:30Z"), utc("2026-11-25T16:30Z")});
    CHECK(propose_starts(spans, {}, 60, 1).size() == 1);
    CHECK(propose_starts(spans, {}, 60, 0).empty());
    CHECK(propose_starts({}, {}, 60, 3).empty());
}

TEST_CASE("a taken time that only touches does not hinder") {
    const std::vector<TimeSpan> spans{span("08:00", "11:00")};
    CHECK(propose_starts(spans, std::vector<TimeSpan>{span("07:00", "08:00"), span("09:00", "10:00")}, 60, 1) ==
          std::vector<WallTime>{utc("2026-11-25T08:00Z")});
}

TEST_CASE("a start is shown in both local times, and marked after a change of clocks") {
    const std::vector<WallTime> starts{utc("2026-03-10T22:00Z"), utc("2026-03-17T22:00Z")};
    const auto described = describe_starts(starts, "America/New_York", "Europe/London").value();
    REQUIRE(described.size() == 2);
    CHECK(to_text(described[0].for_a) == "Tue 2026-03-10 18:00 EDT");
    CHECK(to_text(described[0].for_b) == "Tue 2026-03-10 22:00 GMT");
    CHECK(described[0].for_a.offset_minutes == -240);
    CHECK(described[0].is_after_change);
    CHECK_FALSE(described[1].is_after_change);
}

TEST_CASE("the seven days after a change of clocks end to the second") {
    const Zone zone = Zone::find("America/New_York").value();
    const WallTime jump = utc("2026-03-08T07:00Z");
    const std::int64_t week = std::int64_t{7} * 24 * 3600 * 1000;
    CHECK_FALSE(zone.is_after_change({jump.ms - 1000}));
    CHECK(zone.is_after_change(jump));
    CHECK(zone.is_after_change({jump.ms + week - 1000}));
    CHECK_FALSE(zone.is_after_change({jump.ms + week}));
    CHECK_FALSE(Zone::find("Etc/UTC").value().is_after_change(jump));
}
