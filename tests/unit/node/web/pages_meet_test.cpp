// Arranging contacts by the pages: what is said beforehand, the card, the calendar, again, and evenings.

#include "node/commands/meetings.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

namespace {

struct Arranged : Cast {
    Arranged() {
        class_of(newcomer, "T");
        class_of(mentor, "G");
        tick_item(newcomer, "04.06", "KD0XAA");
        everybody_syncs();
    }
    void class_of(MemberNode& member, const std::string& licence_class) {
        node::CardRequest card;
        card.licence_class = licence_class;
        must(node::change_card(member.context, card));
    }
    void arrange() {
        PageForm form = newcomers.form("/meet", "/meet");
        form.set("meet-fallback", "telephone at a quarter past");
        CHECK(newcomers.send(form).status == 303);
    }
    protocol::MeetBody latest() { return must(node::way(newcomer.context, "")).meetings.back().meeting; }
    std::string id() { return to_hex(must(node::way(newcomer.context, "")).meetings.back().id.view()); }
};

}  // namespace

TEST_CASE("The form begins with two frequencies that both may use, and says which there are") {
    Arranged a;
    const std::string page = a.newcomers.body("/meet");
    CHECK(has(page, "Both may use these by the rule book"));
    CHECK(has(page, "value=\"146.55\""));
    CHECK_FALSE(has(page, "14.28"));
    a.arrange();
    CHECK(a.latest().first_frequency == "146.55");
    CHECK(a.latest().second_frequency == "146.58");
}

TEST_CASE("Without a class on the mentor's card no frequency is proposed, and it is said why") {
    Cast cast;
    tick_item(cast.newcomer, "04.06", "KD0XAA");
    const std::string page = cast.newcomers.body("/meet");
    CHECK(has(page, "is not known here, so no frequency can be proposed"));
    CHECK_FALSE(has(page, "value=\"146.55\" maxlength=\"200\" autocomplete=\"off\" aria-describedby=\"f-meet-first"));
}

TEST_CASE("Whether the path can work is looked at again with other figures, and nothing is stored") {
    Arranged a;
    const auto events = a.newcomer.events();
    const std::string page = a.newcomers.body(
        "/meet?chance_mhz=146.52&chance_from=FN31pr&chance_to=FN31tr&chance_height=20&chance_other_height=20&"
        "chance_watt=50");
    CHECK(has(page, "unless a hill stands between you"));
    CHECK(has(a.newcomers.body("/meet?chance_mhz=146.52&chance_watt=lots"), "write a number above 0, as 10."));
    CHECK(a.newcomer.events() == events);
}

TEST_CASE("The card of an arranged contact says what to say first and last") {
    Arranged a;
    a.arrange();
    const std::string page = a.newcomers.body("/meet/" + a.id() + "/card");
    CHECK(has(page, "What to say first"));
    CHECK(has(page, "Kilo Delta Zero X-ray Alfa Alfa"));
    CHECK(has(page, "telephone at a quarter past"));
    a.everybody_syncs();
    CHECK(has(a.mentors.body(a.bench() + "/meet/" + a.id() + "/card"), "Contact on the air with Nadia"));
}

TEST_CASE("One arranged contact and all of them are calendar files to keep") {
    Arranged a;
    a.arrange();
    const Response one = a.newcomers.get("/meet/" + a.id() + "/calendar");
    CHECK(one.content_type == "text/calendar; charset=utf-8");
    CHECK(has(one.header_value("Content-Disposition"), ".ics"));
    CHECK(one.body.starts_with("BEGIN:VCALENDAR\r\n"));
    CHECK(has(a.newcomers.body("/meet/calendar"), "UID:" + a.id()));
    CHECK(a.newcomers.get("/meet/none/calendar").status == 404);
}

TEST_CASE("After nobody was heard the form holds the same once more, and only the time is new") {
    Arranged a;
    a.arrange();
    a.clock.now = a.latest().start;
    PageForm heard = a.newcomers.form("/meet", "/meet/outcome", "Nobody heard");
    const Response answer = a.newcomers.send(heard);
    const std::string page = a.newcomers.follow(answer);
    CHECK(has(page, "at a new time"));
    CHECK(has(page, "value=\"telephone at a quarter past\""));
    const std::string address = answer.header_value("Location");
    CHECK(a.newcomers.send(a.newcomers.form(address, "/meet")).status == 303);
    CHECK(must(node::way(a.newcomer.context, "")).meetings.size() == 2);
    CHECK(a.latest().fallback == "telephone at a quarter past");
}

TEST_CASE("Before its time an arranged contact can only be said to be moved, afterwards also how it went") {
    Arranged a;
    a.arrange();
    CHECK_FALSE(has(a.newcomers.body("/meet"), "We talked"));
    CHECK_FALSE(has(a.newcomers.body("/meet"), "Nobody heard"));
    CHECK(has(a.newcomers.body("/meet"), "Moved"));
    a.clock.now = a.latest().start;
    a.clock.pass_days(20);
    for (const char* words : {"We talked", "Nobody heard", "Moved"}) CHECK(has(a.newcomers.body("/meet"), words));
}

TEST_CASE("An evening needs two newcomers, and says where one is arranged with") {
    Cast cast;
    CHECK(has(cast.mentors.body("/evening"), "An evening is for two newcomers or more"));
}

TEST_CASE("An evening is arranged by its page for two, and each gets an outcome there") {
    Cast cast;
    MemberNode omar(cast.clock, 21);
    begin_as(omar, "Omar", protocol::MemberRole::newcomer);
    join(omar, cast.mentor, "Marten", protocol::CircleKind::path, protocol::MemberRole::mentor);
    const std::string nadia = to_hex(cast.newcomer.id().view());
    const std::string other = to_hex(omar.id().view());
    const std::string asked = "/evening?evening-who=" + nadia + "&evening-who=" + other;
    PageForm form = cast.mentors.form(asked, "/evening");
    form.set("evening-frequency", "146.55");
    const std::string page = cast.mentors.follow(cast.mentors.send(form));
    CHECK(has(page, "Arranged with Nadia and Omar"));
    CHECK_FALSE(has(cast.mentors.body("/evening"), "We talked"));
    sync(omar, cast.mentor);
    cast.clock.now = must(node::way(omar.context, "")).meetings.front().meeting.start;
    PageForm talked = cast.mentors.form("/evening", "/evening/outcome", "We talked");
    CHECK(cast.mentors.send(talked).status == 303);
    CHECK(has(cast.mentors.body("/evening"), "we talked"));
    sync(omar, cast.mentor);
    CHECK_FALSE(has(PagesOf(omar).body("/meet"), "Nadia"));
}

TEST_CASE("An evening that is refused keeps what was typed") {
    Cast cast;
    MemberNode omar(cast.clock, 21);
    begin_as(omar, "Omar", protocol::MemberRole::newcomer);
    join(omar, cast.mentor, "Marten", protocol::CircleKind::path, protocol::MemberRole::mentor);
    const std::string asked =
        "/evening?evening-who=" + to_hex(cast.newcomer.id().view()) + "&evening-who=" + to_hex(omar.id().view());
    PageForm form = cast.mentors.form(asked, "/evening");
    form.set("evening-frequency", "146.55");
    form.set("evening-words", "Omar speaks first");
    const auto events = cast.mentor.events();
    const Response answer = cast.mentors.send(form);
    CHECK(answer.status >= 400);
    CHECK(has(answer.body, "Write it without names."));
    CHECK(has(answer.body, "Omar speaks first"));
    CHECK(cast.mentor.events() == events);
}
