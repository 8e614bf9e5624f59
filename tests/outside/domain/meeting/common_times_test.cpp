// Local times and common times against another implementation of the time zone database.
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

// "2026-03-07T14:00Z-2026-03-07T17:00Z", one a line.
std::string listed(const std::vector<TimeSpan>& spans) {
    std::string out;
    for (const TimeSpan& span : spans) out += to_iso_minute(span.from) + " " + to_iso_minute(span.to) + "\n";
    return out;
}

struct LocalRow {
    const char* zone;
    const char* date;
    std::int32_t minute;
    LocalKind kind;
    const char* earlier;
    const char* later;
};

const Availability new_york{"America/New_York",
                            {{Weekday::tuesday, at(18), at(21)}, {Weekday::saturday, at(9), at(12)}}};
const Availability london{"Europe/London",
                          {{Weekday::tuesday, at(21), at(23, 30)}, {Weekday::saturday, at(13), at(18)}}};

}  // namespace

// All values: Python 3.11 zoneinfo with tzdata 2026f.

TEST_CASE("local times that clocks skip or show twice are the instants that zoneinfo gives") {
    static constexpr LocalRow rows[] = {
        {"America/New_York", "2026-03-08", at(2, 30), LocalKind::skipped, "2026-03-08T07:00Z", "2026-03-08T07:00Z"},
        {"America/New_York", "2026-11-01", at(1, 30), LocalKind::twice, "2026-11-01T05:30Z", "2026-11-01T06:30Z"},
        {"Europe/London", "2026-03-29", at(1, 30), LocalKind::skipped, "2026-03-29T01:00Z", "2026-03-29T01:00Z"},
        {"Australia/Lord_Howe", "2026-04-05", at(1, 45), LocalKind::twice, "2026-04-04T14:45Z", "2026-04-04T15:15Z"},
        {"Australia/Lord_Howe", "2026-10-04", at(2, 15), LocalKind::skipped, "2026-10-03T15:30Z", "2026-10-03T15:30Z"},
        {"Asia/Kathmandu", "2026-01-01", at(0), LocalKind::once, "2025-12-31T18:15Z", "2025-12-31T18:15Z"},
    };
    for (const LocalRow& row : rows) {
        CAPTURE(row.zone);
        CAPTURE(row.date);
        const LocalMoment moment = Zone::find(row.zone).value().at(day(row.date), row.minute);
        CHECK(moment.kind == row.kind);
        CHECK(to_iso_minute(moment.earlier) == row.earlier);
        CHECK(to_iso_minute(moment.later) == row.later);
    }
}

TEST_CASE("Apia has no 30 December 2011 at all") {
    const Zone apia = Zone::find("Pacific/Apia").value();
    for (const std::int32_t minute : {at(0), at(12), at(23, 59)}) {
        CHECK(apia.at(day("2011-12-30"), minute).kind == LocalKind::skipped);
    }
    CHECK(apia.at(day("2011-12-29"), at(23, 59)).kind == LocalKind::once);
    CHECK(apia.at(day("2011-12-31"), at(0)).kind == LocalKind::once);
}

TEST_CASE("New York and London lose their common Tuesdays while only one has changed its clocks") {
    CHECK(listed(common_times(new_york, london, day("2026-03-02"), 35, 60).value()) ==
          "2026-03-07T14:00Z 2026-03-07T17:00Z\n"
          "2026-03-10T22:00Z 2026-03-10T23:30Z\n"
          "2026-03-14T13:00Z 2026-03-14T16:00Z\n"
          "2026-03-17T22:00Z 2026-03-17T23:30Z\n"
          "2026-03-21T13:00Z 2026-03-21T16:00Z\n"
          "2026-03-24T22:00Z 2026-03-24T23:30Z\n"
          "2026-03-28T13:00Z 2026-03-28T16:00Z\n"
          "2026-04-04T13:00Z 2026-04-04T16:00Z\n");
}

TEST_CASE("Sydney's Sunday morning meets Denver's Saturday afternoon, an hour earlier in summer") {
    const Availability sydney{"Australia/Sydney", {{Weekday::sunday, at(7), at(10)}}};
    const Availability denver{"America/Denver", {{Weekday::saturday, at(14), at(18)}}};
    CHECK(listed(common_times(sydney, denver, day("2026-09-26"), 50, 60).value()) ==
          "2026-09-26T21:00Z 2026-09-27T00:00Z\n"
          "2026-10-03T20:00Z 2026-10-03T23:00Z\n"
          "2026-10-10T20:00Z 2026-10-10T23:00Z\n"
          "2026-10-17T20:00Z 2026-10-17T23:00Z\n"
          "2026-10-24T20:00Z 2026-10-24T23:00Z\n"
          "2026-10-31T20:00Z 2026-10-31T23:00Z\n"
          "2026-11-07T21:00Z 2026-11-07T23:00Z\n"
          "2026-11-14T21:00Z 2026-11-14T23:00Z\n");
}

TEST_CASE("a window over the change of clocks in spring loses the hour that is skipped") {
    const Availability early{"America/New_York", {{Weekday::sunday, at(1, 30), at(4)}}};
    CHECK(listed(to_instants(early, day("2026-03-08"), 1).value()) == "2026-03-08T06:30Z 2026-03-08T08:00Z\n");
}

TEST_CASE("a window over the change of clocks in autumn is an hour longer") {
    const Availability early{"America/New_York", {{Weekday::sunday, at(1, 30), at(4)}}};
    CHECK(listed(to_instants(early, day("2026-11-01"), 1).value()) == "2026-11-01T05:30Z 2026-11-01T09:00Z\n");
}

TEST_CASE("a window that starts in the skipped hour starts at the jump") {
    const Availability early{"America/New_York", {{Weekday::sunday, at(2, 30), at(5)}}};
    CHECK(listed(to_instants(early, day("2026-03-08"), 1).value()) == "2026-03-08T07:00Z 2026-03-08T09:00Z\n");
}

TEST_CASE("a window past midnight in Kathmandu begins at a quarter to, and its first start is on the hour") {
    const Availability kathmandu{"Asia/Kathmandu", {{Weekday::friday, at(22, 30), at(1)}}};
    const std::vector<TimeSpan> spans = to_instants(kathmandu, day("2026-01-01"), 7).value();
    CHECK(listed(spans) == "2026-01-02T16:45Z 2026-01-02T19:15Z\n");
    CHECK(propose_starts(spans, {}, 60, 1) == std::vector<WallTime>{utc("2026-01-02T17:00Z")});
}
