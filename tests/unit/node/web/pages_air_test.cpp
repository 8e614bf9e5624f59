// Contacts written down and contacts arranged, by the pages.

#include "node/commands/contacts.hpp"
#include "node/commands/meetings.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

namespace {

PageForm filled_contact(Cast& cast) {
    PageForm form = cast.newcomers.form("/contact", "/contact");
    form.set("contact-worked", "KD0XAA");
    form.set("contact-frequency", "146.520");
    form.set("contact-guest_of", "WB0XMN");
    form.set("contact-comment", "from the club station");
    return form;
}

PageForm filled_meeting(Cast& cast) {
    PageForm form = cast.newcomers.form("/meet", "/meet");
    form.set("meet-first", "146.520");
    form.set("meet-fallback", "telephone at a quarter past");
    return form;
}

node::WayView way_now(Cast& cast) {
    return must(node::way(cast.newcomer.context, ""));
}

// A contact is arranged, and its time has come.
void begin_meeting(Cast& cast) {
    CHECK(cast.newcomers.send(filled_meeting(cast)).status == 303);
    cast.clock.now = way_now(cast).meetings.front().meeting.start;
}

}  // namespace

TEST_CASE("A contact as a guest is written down by its form and stands on the page") {
    Cast cast;
    const std::string page = cast.newcomers.follow(cast.newcomers.send(filled_contact(cast)));
    CHECK(has(page, "KD0XAA"));
    CHECK(has(page, "guest of WB0XMN"));
    CHECK(way_now(cast).contacts.size() == 1);
}

TEST_CASE("A contact under an own call that is not granted yet is refused, and everything typed is kept") {
    Cast cast;
    PageForm form = filled_contact(cast);
    form.set("contact-guest_of", "");
    const auto events = cast.newcomer.events();
    const Response response = cast.newcomers.send(form);
    CHECK(response.status >= 400);
    CHECK(has(response.body, "value=\"KD0XAA\""));
    CHECK(has(response.body, "value=\"146.520\""));
    CHECK(has(response.body, "value=\"from the club station\""));
    CHECK(cast.newcomer.events() == events);
}

TEST_CASE("A contact form without a station, a frequency or a time names the field") {
    struct Case {
        const char* field;
        const char* typed;
        const char* sentence;
    };
    const Case cases[] = {
        {"contact-worked", "", "Write the call sign of the other station."},
        {"contact-frequency", "", "Write the frequency in MHz, or choose the band."},
        {"contact-clock", "half past six", "Write the time of day in 24 hours, as 19:05."},
    };
    Cast cast;
    for (const Case& c : cases) {
        CAPTURE(c.field);
        PageForm form = filled_contact(cast);
        form.set(c.field, c.typed);
        const Response response = cast.newcomers.send(form);
        CHECK(response.status == 400);
        CHECK(has(response.body,
                  std::string("id=\"f-") + c.field + "-problem\"><strong>Please look:</strong> " + c.sentence));
    }
}

TEST_CASE("A time by the own clock is stored in UTC and shown both ways, local first") {
    Cast cast;
    cast.set_zone(cast.newcomer, "America/New_York");
    PageForm form = filled_contact(cast);
    form.set("contact-day", "2026-09-20");
    form.set("contact-clock", "21:05");
    form.set("contact-which", "local");
    const std::string page = cast.newcomers.follow(cast.newcomers.send(form));
    CHECK(way_now(cast).contacts.front().contact.start == utc("2026-09-21T01:05Z"));
    CHECK(has(page, "Sun 2026-09-20 21:05 EDT</time> <span class=\"utc\">2026-09-21 01:05 UTC</span>"));
}

TEST_CASE("A time said to be UTC is taken as UTC, whatever the own zone") {
    Cast cast;
    cast.set_zone(cast.newcomer, "America/New_York");
    PageForm form = filled_contact(cast);
    form.set("contact-day", "2026-09-20");
    form.set("contact-clock", "21:05");
    form.set("contact-which", "utc");
    CHECK(cast.newcomers.send(form).status == 303);
    CHECK(way_now(cast).contacts.front().contact.start == utc("2026-09-20T21:05Z"));
}

TEST_CASE("A contact arranged by the form reaches the mentor's page with both frequencies and the fallback") {
    Cast cast;
    PageForm form = filled_meeting(cast);
    form.set("meet-second", "146.550");
    CHECK(cast.newcomers.send(form).status == 303);
    cast.everybody_syncs();
    const std::string page = cast.mentors.body("/people");
    CHECK(has(page, "146.520"));
    CHECK(has(page, "146.550"));
    CHECK(has(page, "telephone at a quarter past"));
}

TEST_CASE("A time in the hour that clocks skip is refused and kept") {
    Cast cast;
    cast.clock.to("2027-03-10T12:00Z");
    cast.set_zone(cast.newcomer, "America/New_York");
    PageForm form = filled_meeting(cast);
    form.set("meet-day", "2027-03-14");
    form.set("meet-clock", "02:30");
    const Response response = cast.newcomers.send(form);
    CHECK(response.status == 400);
    CHECK(has(response.body, "Clocks are put forward over that time"));
    CHECK(has(response.body, "value=\"02:30\""));
    CHECK(way_now(cast).meetings.empty());
}

TEST_CASE("An arranged contact in the past is refused in the person's own time") {
    Cast cast;
    PageForm form = filled_meeting(cast);
    form.set("meet-day", "2026-01-01");
    const Response response = cast.newcomers.send(form);
    CHECK(response.status == 400);
    CHECK(has(response.body, "is past; arrange a time to come."));
    CHECK(has(response.body, "value=\"telephone at a quarter past\""));
}

TEST_CASE("Times that suit both are offered, and choosing one is enough") {
    Cast cast;
    for (MemberNode* member : {&cast.newcomer, &cast.mentor}) {
        node::CardRequest card;
        card.zone = "America/Chicago";
        card.windows = must(node::parse_windows("Tue 18:00-21:00"));
        must(node::change_card(member->context, card));
    }
    cast.everybody_syncs();
    PageForm form = filled_meeting(cast);
    const auto times =
        must(node::propose_times(cast.newcomer.context, way_now(cast), *node::mentor_on(way_now(cast)), 3));
    REQUIRE_FALSE(times.empty());
    form.set("meet-proposed", std::to_string(times.front().ms));
    CHECK(has(cast.newcomers.body("/meet"), "Times that suit " + way_now(cast).owner.name + " and "));
    CHECK(cast.newcomers.send(form).status == 303);
    CHECK(way_now(cast).meetings.front().meeting.start == times.front());
}

TEST_CASE("What became of an arranged contact is one button; one that was made leads to the log with its frequency") {
    Cast cast;
    begin_meeting(cast);
    const Response answer = cast.newcomers.send(cast.newcomers.form("/", "/meet/outcome", "We talked"));
    const std::string page = cast.newcomers.follow(answer);
    CHECK(way_now(cast).meetings.front().outcome == protocol::MeetOutcome::made);
    CHECK(has(page, "<h1>Contacts</h1>"));
    CHECK(has(page, "value=\"146.520\""));
}

TEST_CASE("Nobody heard is nobody's fault, and the form to set it again stands below") {
    Cast cast;
    begin_meeting(cast);
    PageForm form = cast.newcomers.form("/meet", "/meet/outcome", "Nobody heard");
    const std::string page = cast.newcomers.follow(cast.newcomers.send(form));
    CHECK(way_now(cast).meetings.front().outcome == protocol::MeetOutcome::nobody_heard);
    CHECK(has(page, "nobody&#39;s fault"));
    CHECK(has(page, "Arrange a contact"));
}

TEST_CASE("A mentor arranges a contact from the newcomer's page") {
    Cast cast;
    PageForm form = cast.mentors.form(cast.bench(), cast.bench() + "/meet");
    form.set("meet-first", "146.580");
    CHECK(cast.mentors.send(form).status == 303);
    cast.everybody_syncs();
    CHECK(has(cast.newcomers.body("/"), "146.580"));
}
