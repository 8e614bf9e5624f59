// What mentors, guardians and officers do by the pages.

#include "node/commands/checks.hpp"
#include "node/commands/qr.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;
using protocol::CircleKind;
using protocol::MemberRole;

TEST_CASE("A ticked item waits on the mentor's page and is signed there at a level") {
    Cast cast;
    tick_item(cast.newcomer, "01.17", "spelled it twice");
    cast.everybody_syncs();
    PageForm form = cast.mentors.form("/people", cast.bench() + "/sign");
    CHECK(has(cast.mentors.body("/people"), "spelled it twice"));
    form.set(form.named("-level"), "2");
    form.set(form.named("-saw"), "slow and steady");
    const std::string after = cast.mentors.follow(cast.mentors.send(form));
    CHECK(has(after, "is signed on Nadia&#39;s way"));
    cast.everybody_syncs();
    const domain::ItemState state = cast.state("01.17", cast.newcomer);
    CHECK(state.signed_level() == domain::Level::with_help);
    CHECK(state.signature->text == "slow and steady");
    CHECK(has(cast.newcomers.body("/way/01.17"), "slow and steady"));
}

TEST_CASE("A mentor is offered no level above the own") {
    Cast cast;
    tick_item(cast.newcomer, "01.17");
    cast.everybody_syncs();
    CHECK(has(cast.mentors.body("/people"), "alone, without prompting"));
    CHECK_FALSE(has(cast.mentors.body("/people"), "taught it: one other person"));
}

TEST_CASE("A signature is taken back only with a reason, which the newcomer reads") {
    Cast cast;
    tick_item(cast.newcomer, "01.17");
    cast.everybody_syncs();
    cast.clock.pass_minutes(1);
    sign_item(cast.mentor, "Nadia", "01.17", "3");
    PageForm form = cast.mentors.form(cast.bench(), cast.bench() + "/withdraw");
    CHECK(cast.mentors.send(form).status >= 400);
    CHECK(cast.state("01.17", cast.mentor).signature.has_value());
    cast.clock.pass_minutes(1);
    form.set(form.named("-why"), "it was another word");
    CHECK(cast.mentors.send(form).status == 303);
    cast.everybody_syncs();
    CHECK(has(cast.newcomers.body("/way/01.17"), "it was another word"));
    CHECK_FALSE(cast.state("01.17", cast.newcomer).signature.has_value());
}

TEST_CASE("What the mentor asks for becomes the newcomer's next step") {
    Cast cast;
    PageForm form = cast.mentors.form(cast.bench(), cast.bench() + "/assign");
    form.set("assign-items", "01.03, 01.02");
    CHECK(has(cast.mentors.follow(cast.mentors.send(form)), "2 items are now asked for"));
    cast.everybody_syncs();
    CHECK(has(cast.newcomers.body("/"), "Your mentor asked for this one next."));
}

TEST_CASE("An assignment of nothing, or of an item that is none, is refused and kept") {
    Cast cast;
    PageForm form = cast.mentors.form(cast.bench(), cast.bench() + "/assign");
    CHECK(cast.mentors.send(form).status == 400);
    form.set("assign-items", "77.77");
    const Response response = cast.mentors.send(form);
    CHECK(response.status >= 400);
    CHECK(has(response.body, "value=\"77.77\""));
}

TEST_CASE("Somebody whose way is not shared is not found") {
    Cast cast;
    CHECK(cast.mentors.get("/people/ffffffffffff").status == 404);
    CHECK(cast.officers.get(cast.bench()).status == 404);
    CHECK(cast.mentors.post("/people/ffffffffffff/assign", {{"form", "assign"}, {"assign-items", "01.02"}}).status >=
          400);
}

namespace {

// Pia is under 18 and has let her guardian Greta onto her path.
struct Household {
    SetClock clock;
    MemberNode child{clock, 31};
    MemberNode guardian{clock, 32};

    Household() {
        begin_as(child, "Pia", MemberRole::newcomer, true);
        begin_as(guardian, "Greta", MemberRole::guardian);
    }
    void let_in() { join(child, guardian, "Greta", CircleKind::path, MemberRole::guardian); }
};

// What an invite onto the own path has chosen before anybody chose.
std::string seat_shown(MemberNode& node) {
    return PagesOf(node).form("/circles", "/circles/invite").get("invite-path-role");
}

}  // namespace

TEST_CASE("The guardian of somebody under 18 is led from the first page to saying until when they agree") {
    Household h;
    h.let_in();
    const PagesOf pages(h.guardian);
    CHECK(has(pages.body("/"), "href=\"/goings\">Say until when you agree"));
    PageForm form = pages.form("/goings", "/goings/consent");
    form.set("consent-until", to_iso(h.guardian.context.today() + 30));
    form.set("do", "give");
    CHECK(pages.send(form).status == 303);
    sync(h.child, h.guardian);
    const node::WayView way = must(node::way(h.child.context, ""));
    CHECK(domain::state_of(way.states, domain::known_item::guardian_agrees).tick.has_value());
}

TEST_CASE("An invite of somebody under 18 has the adult chosen who is missing") {
    Household h;
    CHECK(seat_shown(h.child) == "guardian");
    h.let_in();
    CHECK(seat_shown(h.child) == "second adult");
    Cast cast;
    CHECK(seat_shown(cast.newcomer) == "mentor");
}

TEST_CASE("Somebody under 18 is not offered to take their guardian out") {
    Household h;
    h.let_in();
    CHECK(has(PagesOf(h.child).body("/goings"), "There is nobody whom you may take out."));
}

TEST_CASE("The first step of somebody under 18 names the page that makes a code, with a link") {
    Household h;
    CHECK(has(PagesOf(h.child).body("/"), "a code of the page <a href=\"/circles\">Circles</a> lets them in"));
}

TEST_CASE("An invite is made by the form, shown once to be copied, and looking again makes no second one") {
    Cast cast;
    PageForm form = cast.newcomers.form("/circles", "/circles/invite");
    form.set(form.named("-address"), "192.168.1.20:7373");
    const Response answer = cast.newcomers.send(form);
    const std::string page = cast.newcomers.follow(answer);
    const std::size_t at = page.find("LADDER-");
    REQUIRE(at != std::string::npos);
    const node::InviteCode code = must(node::parse_code(page.substr(at, page.find('<', at) - at)));
    CHECK(code.address == "192.168.1.20:7373");
    CHECK(has(page, "<path fill=\"#000\" d=\"" +
                        node::qr_path(must(node::qr_picture(node::to_code(code), node::QrCare::screen)))));
    CHECK(has(cast.newcomers.body(answer.header_value("Location")), "LADDER-"));
    CHECK_FALSE(has(cast.newcomers.body("/circles"), "LADDER-"));
    std::int64_t invites = 0;
    must(cast.newcomer.db().query("SELECT count(*) FROM invite WHERE used_by IS NULL",
                                  [&](const store::sqlite::Row& row) { invites = row.integer(0); }));
    CHECK(invites == 1);
}

TEST_CASE("An invite begins with the address at which this node is reached, and is not made without one") {
    Cast cast;
    node::web::Router router;
    node::web::add_pages(router, cast.newcomer.context, {[] { return std::string("192.168.7.7:7373"); }});
    node::web::Request request;
    request.path = "/circles";
    CHECK(has(router.answer(request).body, "value=\"192.168.7.7:7373\""));
    CHECK(cast.newcomers.send(cast.newcomers.form("/circles", "/circles/invite")).status == 400);
}

TEST_CASE("An invite for too many days is refused and its address kept") {
    Cast cast;
    PageForm form = cast.newcomers.form("/circles", "/circles/invite");
    form.set(form.named("-days"), "400");
    form.set(form.named("-address"), "192.168.1.20:7373");
    const Response response = cast.newcomers.send(form);
    CHECK(response.status == 400);
    CHECK(has(response.body, "value=\"192.168.1.20:7373\""));
}

TEST_CASE("The circles page says who sees what and that sealed sync never goes over amateur frequencies") {
    Cast cast;
    const std::string page = cast.newcomers.body("/circles");
    CHECK(has(page, "97.113(a)(4)"));
    CHECK(has(page, "Marten"));
    CHECK(has(page, "cannot be taken back"));
}

TEST_CASE("Sharing with the club begins by form, fills the club's list, and stops by a button") {
    Cast cast;
    CHECK(has(cast.officers.body("/club"), "Nobody has agreed to stand in the club&#39;s list yet"));
    CHECK(cast.newcomers.send(cast.newcomers.form("/circles", "/circles/share")).status == 303);
    cast.everybody_syncs();
    CHECK_FALSE(has(cast.officers.body("/club"), "Nobody has agreed to stand in the club&#39;s list yet"));
    CHECK(has(cast.newcomers.follow(cast.newcomers.send(cast.newcomers.form("/circles", "/circles/unshare"))),
              "no more news"));
}

TEST_CASE("A newcomer lets a club member onto the path by form") {
    Cast cast;
    PageForm form = cast.newcomers.form("/circles", "/circles/let-in");
    CHECK(has(form.words, "Olga, officer"));
    form.set("let-in-role", "mentor");
    CHECK(cast.newcomers.send(form).status == 303);
    cast.everybody_syncs();
    CHECK(cast.officers.get(cast.bench()).status == 200);
}

TEST_CASE("The card is changed by form, and the other side sees it") {
    Cast cast;
    PageForm form = cast.mentors.form("/card", "/card");
    form.set("card-call_sign", "WB0XMN");
    form.set("card-zone", "America/Denver");
    form.set("card-times", "Tue 18:00-21:00, Sat 09:00-12:00");
    form.set("card-topics", "antennas, first contact");
    form.set("card-room", "3");
    CHECK(cast.mentors.send(form).status == 303);
    CHECK(cast.mentors.form("/card", "/card").get("card-times") == "Tue 18:00-21:00, Sat 09:00-12:00");
    cast.everybody_syncs();
    CHECK(has(cast.newcomers.body("/club"), "helps with antennas, first contact"));
}

TEST_CASE("A card with a mistake comes back whole and names the field") {
    struct Case {
        const char* field;
        const char* typed;
    };
    const Case cases[] = {
        {"card-zone", "America/Nowhere"}, {"card-times", "Tuesdays"}, {"card-room", "many"}, {"card-locator", "!!"}};
    Cast cast;
    for (const Case& c : cases) {
        CAPTURE(c.field);
        PageForm form = cast.mentors.form("/card", "/card");
        form.set("card-topics", "antennas");
        form.set(c.field, c.typed);
        const auto events = cast.mentor.events();
        const Response response = cast.mentors.send(form);
        CHECK(response.status >= 400);
        CHECK(has(response.body, std::string("value=\"") + c.typed + "\""));
        CHECK(has(response.body, "value=\"antennas\""));
        CHECK(cast.mentor.events() == events);
    }
}

TEST_CASE("Members who are no officers see the people of the club and no review") {
    Cast cast;
    const std::string page = cast.newcomers.body("/club");
    CHECK(has(page, "Marten"));
    CHECK_FALSE(has(page, "Who needs us"));
    CHECK_FALSE(has(page, "/club/pair"));
}

TEST_CASE("An officer agrees to a proposed pair by its button, and ends it by another") {
    Cast cast(false);
    for (MemberNode* member : {&cast.mentor, &cast.newcomer}) {
        node::CardRequest card;
        card.zone = "America/Chicago";
        card.windows = must(node::parse_windows("Tue 18:00-21:00"));
        card.bands = {"2m"};
        if (member == &cast.mentor) card.room = 2;
        must(node::change_card(member->context, card));
    }
    CHECK(cast.newcomers.send(cast.newcomers.form("/circles", "/circles/share")).status == 303);
    cast.everybody_syncs();
    const std::string after =
        cast.officers.follow(cast.officers.send(cast.officers.form("/club", "/club/pair", "Agree")));
    CHECK(has(after, "Nadia</bdi> with <bdi>Marten</bdi>"));
    PageForm end = cast.officers.form("/club", "/club/end");
    end.set(end.get("form") + "-sure", "yes");
    CHECK(cast.officers.send(end).status == 303);
    CHECK(has(cast.officers.body("/club"), "No pair has been agreed yet"));
}

TEST_CASE("The review shows reasons, a denominator and how old its news is, and no figure of anybody") {
    Cast cast;
    CHECK(cast.newcomers.send(cast.newcomers.form("/circles", "/circles/share")).status == 303);
    cast.everybody_syncs();
    cast.clock.pass_days(60);
    const std::string page = cast.officers.body("/club");
    CHECK(has(page, "<h2>On the air</h2>"));
    CHECK(has(page, "<h2>How old this is</h2>"));
    CHECK(has(page, "As of 2026-09-21"));
    CHECK(has(page, "<bdi>Nadia</bdi>"));
    CHECK_FALSE(has(page, "score"));
    CHECK_FALSE(has(page, "points"));
}

TEST_CASE("A newcomer asks for a hand by form, and the mentor's page says with what") {
    Cast cast;
    PageForm form = cast.newcomers.form("/", "/ask");
    form.set("ask-topic", "which antenna");
    CHECK(cast.newcomers.send(form).status == 303);
    cast.everybody_syncs();
    CHECK(has(cast.mentors.body(cast.bench()), "which antenna"));
}

namespace {

std::optional<Day> last_touch(Cast& cast) {
    cast.everybody_syncs();
    return must(node::way(cast.newcomer.context, "")).dates.last_mentor_touch;
}

}  // namespace

TEST_CASE("A mentor says by one button that the two were in touch") {
    Cast cast;
    const PageForm form = cast.mentors.form(cast.bench(), cast.bench() + "/touch");
    CHECK(cast.mentors.send(form).status == 303);
    CHECK(last_touch(cast) == cast.mentor.context.today());
}

TEST_CASE("A touch that is written down later keeps its own day") {
    Cast cast;
    cast.clock.pass_days(3);
    const Day tuesday = cast.mentor.context.today() + -2;
    PageForm form = cast.mentors.form(cast.bench(), cast.bench() + "/touch");
    form.set("touch-day", to_iso(tuesday));
    cast.mentors.send(form);
    CHECK(last_touch(cast) == tuesday);
}

TEST_CASE("A touch is taken back by its button, and the one before it stands again") {
    Cast cast;
    cast.mentors.send(cast.mentors.form(cast.bench(), cast.bench() + "/touch"));
    const Day before = cast.mentor.context.today();
    cast.clock.pass_days(3);
    const Response taken = cast.mentors.send(cast.mentors.form(cast.bench(), cast.bench() + "/touch"));
    REQUIRE(last_touch(cast) == cast.mentor.context.today());
    cast.mentors.send(cast.mentors.form(taken.header_value("Location"), cast.bench() + "/touch", "Undo"));
    CHECK(last_touch(cast) == before);
}

TEST_CASE("\"Asked, and fine\" of a mentor is taken back by its button") {
    Cast cast;
    const Response taken = cast.mentors.send(cast.mentors.form(cast.bench(), cast.bench() + "/asked"));
    const protocol::CircleId club = cast.mentor.circle(CircleKind::club);
    REQUIRE(must(node::checks(cast.mentor.context, club)).size() == 1);
    cast.mentors.send(cast.mentors.form(taken.header_value("Location"), cast.bench() + "/asked", "Undo"));
    cast.everybody_syncs();
    CHECK(must(node::checks(cast.mentor.context, club)).empty());
    CHECK(must(node::checks(cast.officer.context, club)).empty());
}
