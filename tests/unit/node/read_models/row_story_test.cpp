#include "node/read_models/row_story.hpp"

#include <doctest/doctest.h>

#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using node::RowStory;
using protocol::ClubRowBody;
using test::day;
using test::utc;

ClubRowBody row(const std::string& stage) {
    ClubRowBody out;
    out.stage = stage;
    return out;
}

TEST_CASE("several rows of one day are one day") {
    RowStory story;
    story.add(utc("2026-03-01T08:00Z"), row("02"));
    story.add(utc("2026-03-01T22:00Z"), row("02"));
    story.add(utc("2026-03-02T01:00Z"), row("02"));
    CHECK(story.days == 2);
}

TEST_CASE("days are recent that lie less than so many before today") {
    RowStory story;
    for (const char* said : {"2026-01-01T08:00Z", "2026-03-01T08:00Z", "2026-03-10T08:00Z", "2026-03-20T08:00Z"}) {
        story.add(utc(said), row("02"));
    }
    CHECK(story.recent_days(day("2026-03-20"), 21) == 3);
    CHECK(story.recent_days(day("2026-03-22"), 21) == 2);
    CHECK(story.recent_days(day("2026-04-09"), 21) == 1);
    CHECK(story.recent_days(day("2026-04-10"), 21) == 0);
}

TEST_CASE("days after today are recent, as far back as they are remembered") {
    RowStory story;
    story.add(utc("2026-01-01T08:00Z"), row("02"));
    story.add(utc("2027-01-01T08:00Z"), row("02"));
    CHECK(story.recent_days(day("2026-12-20"), 21) == 1);
    CHECK_FALSE(story.recent_days(day("2026-06-01"), 21));
}

TEST_CASE("a stage began where its last row says, else when it was first said") {
    RowStory story;
    story.add(utc("2026-03-01T08:00Z"), row("02"));
    ClubRowBody later = row("02");
    later.stage_since = day("2026-02-20");
    CHECK(story.runs.back().began() == day("2026-03-01"));
    story.add(utc("2026-03-05T08:00Z"), later);
    CHECK(story.runs.size() == 1);
    CHECK(story.runs.back().began() == day("2026-02-20"));
    story.add(utc("2026-03-09T08:00Z"), row("03"));
    CHECK(story.runs.size() == 2);
}

TEST_CASE("the first and the last day of a contact are kept in whatever order they are told") {
    RowStory story;
    for (const char* contact : {"2026-03-05", "2026-03-02", "2026-03-04"}) {
        ClubRowBody told = row("09");
        told.last_contact = day(contact);
        story.add(utc("2026-03-06T08:00Z"), told);
    }
    CHECK(story.contact_first == day("2026-03-02"));
    CHECK(story.contact_last == day("2026-03-05"));
}

TEST_CASE("a call sign counts from the row that first held one") {
    RowStory story;
    story.add(utc("2026-03-01T08:00Z"), row("04"));
    ClubRowBody called = row("04");
    called.call_sign = "KD0XAA";
    story.add(utc("2026-03-03T08:00Z"), called);
    story.add(utc("2026-03-04T08:00Z"), called);
    CHECK(story.call_sign_since == day("2026-03-03"));
}

TEST_CASE("a story of more stages than it holds says so") {
    RowStory story;
    bool held = true;
    for (std::size_t i = 0; i <= RowStory::runs_max; ++i) {
        held = story.add(utc("2026-03-01T08:00Z"), row(i % 2 == 0 ? "01" : "02"));
    }
    CHECK_FALSE(held);
    CHECK(story.runs.size() == RowStory::runs_max);
}

}  // namespace
}  // namespace ladderline
