// What the pages of a path say while nothing goes on there with a mentor.

#include "node/commands/feed.hpp"
#include "tests/unit/node/web/minor_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

constexpr const char* title = "Nothing with a mentor for now";

}  // namespace

TEST_CASE("A consent that was taken back is said on the pages of everybody on the path, until it is given again") {
    Minor m;
    for (const std::string& page : m.pages()) CHECK_FALSE(has(page, title));
    m.take_back();
    auto pages = m.pages();
    pages.push_back(PagesOf(m.sue).body("/people"));
    pages.push_back(PagesOf(m.sue).body(m.of_kay()));
    for (const std::string& page : pages) {
        CHECK(has(page, title));
        CHECK(has(page, "consent was taken back"));
        CHECK(has(page, "do not take place until then"));
    }
    m.clock.pass_minutes(1);
    must(node::give_consent(m.gus.context, "Kay", day("2026-06-01")));
    m.everybody_syncs();
    for (const std::string& page : m.pages()) CHECK_FALSE(has(page, title));
}

TEST_CASE("The notice is the first thing under the heading of the person's page, and says it once") {
    Minor m;
    m.take_back();
    const std::string page = PagesOf(m.max).body(m.of_kay());
    CHECK(page.find(title) < page.find("Next step"));
    CHECK(page.find("consent was taken back") == page.rfind("consent was taken back"));
}

TEST_CASE("A path without its second adult says so to who is left, and so does a consent that ran out") {
    Minor m;
    m.second_adult_leaves();
    for (const std::string& page : m.pages()) CHECK(has(page, "There is no second adult on this path"));
    CHECK(has(PagesOf(m.kay).body("/"), "There is no second adult on this path"));
    Minor late;
    late.clock.to("2026-06-02T12:00Z");
    for (const std::string& page : late.pages()) CHECK(has(page, "consent ran until 2026-06-01"));
}

TEST_CASE("A contact that does not take place says so on its line and on its card") {
    Minor m;
    m.take_back();
    const std::string words = "Does not take place for now";
    for (const std::string& page : m.pages()) CHECK(has(page, words));
    CHECK(has(PagesOf(m.kay).body("/"), words));
    const auto meetings = must(node::way(m.kay.context, "")).meetings;
    REQUIRE(meetings.size() == 1);
    CHECK(has(PagesOf(m.max).body(m.of_kay() + "/meet/" + to_hex(meetings[0].id.view()) + "/card"), "Not for now"));
}

TEST_CASE("A calendar has a contact that does not take place as called off, and why, until it takes place again") {
    Minor m;
    const auto calendars = [&] {
        return std::vector{PagesOf(m.kay).body("/meet/calendar"), PagesOf(m.max).body(m.of_kay() + "/calendar"),
                           must(node::feed_calendar(m.max.context))};
    };
    for (const std::string& text : calendars()) CHECK_FALSE(has(text, "STATUS:CANCELLED"));
    m.take_back();
    for (const std::string& text : calendars()) {
        CHECK(has(text, "STATUS:CANCELLED\r\n"));
        CHECK(has(text, "DESCRIPTION:Not for now: "));
    }
    m.clock.pass_minutes(1);
    must(node::give_consent(m.gus.context, "Kay", day("2026-06-01")));
    m.everybody_syncs();
    for (const std::string& text : calendars()) CHECK_FALSE(has(text, "STATUS:CANCELLED"));
}

TEST_CASE("A contact with the guardian takes place all the same") {
    Minor m;
    node::MeetRequest request;
    request.start = utc("2026-03-05T18:00Z");
    request.first_frequency = "146.52";
    request.with = "Gus";
    must(node::meet(m.kay.context, request));
    m.take_back();
    const std::string page = PagesOf(m.kay).body("/meet");
    CHECK(page.find("Does not take place") == page.rfind("Does not take place"));
}

TEST_CASE("Nobody waits for a second adult while the guardian does not agree, or once somebody has that seat") {
    Minor m;
    const auto waits_for = [&] { return PagesOf(m.kay).body("/"); };
    CHECK(has(waits_for(), "Sue is on the path as second adult; they tick 00.06"));
    m.take_back();
    CHECK_FALSE(has(waits_for(), "The guardian agreed"));
}

TEST_CASE("A path that has only begun has no such notice") {
    SetClock clock;
    MemberNode kay{clock, 45};
    MemberNode gus{clock, 46};
    begin_as(kay, "Kay", MemberRole::newcomer, true);
    begin_as(gus, "Gus", MemberRole::guardian);
    join(kay, gus, "Gus", CircleKind::path, MemberRole::guardian);
    CHECK_FALSE(has(PagesOf(kay).body("/meet"), title));
    CHECK_FALSE(has(PagesOf(gus).body("/people"), title));
}

TEST_CASE("The guardian's form says what holds now") {
    Minor m;
    const PagesOf guardians(m.gus);
    CHECK(has(guardians.body("/goings"), "The consent stands until 2026-06-01."));
    m.take_back();
    CHECK(has(guardians.body("/goings"), "consent was taken back"));
}
