// Pairings by the pages: the officers' board, and the page of the two.

#include "node/commands/pair_requests.hpp"
#include "node/commands/pair_reviews.hpp"
#include "node/commands/pairing.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

namespace {

// Olga's club without a seat for Marten on Nadia's path; both have weekly times.
struct PairCast : Cast {
    PairCast() : Cast(false) {
        card(mentor, 1);
        card(newcomer, 0);
        syncs();
    }
    void card(MemberNode& member, std::uint8_t room) {
        node::CardRequest request;
        request.zone = "America/New_York";
        request.windows = must(node::parse_windows("Tue 18:00-21:00"));
        request.room = room;
        must(node::change_card(member.context, request));
    }
    void syncs() {
        sync(officer, mentor);
        sync(officer, newcomer);
        sync(officer, mentor);
        clock.pass_minutes(1);
    }
    std::string sent(PagesOf& pages, PageForm form) {
        const std::string page = pages.follow(pages.send(form));
        syncs();
        return page;
    }
    void paired() {
        must(node::agree_pair(officer.context, "Nadia", "Marten"));
        syncs();
    }
};

}  // namespace

TEST_CASE("The pairing board and the page of the two open for those whom they concern") {
    PairCast cast;
    for (PagesOf* pages : {&cast.officers, &cast.mentors, &cast.newcomers}) {
        const Response response = pages->get("/pairing");
        CHECK(response.status == 200);
        CHECK(response.body.find("<h1>") == response.body.rfind("<h1>"));
        CHECK(response.body.ends_with("</html>"));
    }
    const std::string board = cast.officers.body("/club/pairing");
    for (const char* words : {"Proposed pairs", "Fair", "Who would rather swap", "Keep present pairs", "Takes one more",
                              "Pauses", "common time 300", "Only on your machines"}) {
        CHECK(has(board, words));
    }
    CHECK(cast.mentors.get("/club/pairing").status == 403);
    CHECK(cast.newcomers.get("/club/pairing").status == 403);
}

TEST_CASE("From the board both are asked, and two clicks make the pairing") {
    PairCast cast;
    const PageForm ask = cast.officers.form("/club/pairing", "/club/pairing/ask", "Ask both: Nadia with Marten");
    CHECK(has(cast.sent(cast.officers, ask), "are asked whether they suit each other"));
    CHECK(has(cast.newcomers.body("/"), "A pairing with Marten is proposed: yes or rather not?"));
    CHECK(has(cast.mentors.body("/people"), "A pairing with Nadia is proposed: yes or rather not?"));
    const PageForm yes = cast.newcomers.form("/pairing", "/pairing/answer", "Yes, with Marten");
    CHECK(has(cast.sent(cast.newcomers, yes), "The pairing stands as soon as Marten says yes too."));
    CHECK(has(cast.officers.body("/club/pairing"), "the newcomer said yes"));
    const PageForm also = cast.mentors.form("/pairing", "/pairing/answer", "Yes, with Nadia");
    CHECK(has(cast.sent(cast.mentors, also), "You and Nadia are paired from today."));
    CHECK(has(cast.newcomers.body("/pairing"), "Your mentor is"));
    CHECK_FALSE(has(cast.newcomers.body("/"), "is proposed: yes or rather not?"));
}

TEST_CASE("A rather not is one click, and no page says who it was") {
    PairCast cast;
    must(node::ask_pair(cast.officer.context, "Nadia", {"Marten"}));
    cast.syncs();
    const PageForm no = cast.newcomers.form("/pairing", "/pairing/answer", "Rather not with Marten");
    CHECK(has(cast.sent(cast.newcomers, no), "No reason is asked"));
    CHECK(has(cast.mentors.body("/pairing"), "You are paired with nobody, and nothing is proposed."));
    const std::string board = cast.officers.body("/club/pairing");
    CHECK(has(board, "did not come about"));
    CHECK_FALSE(has(board, "declined"));
}

TEST_CASE("Wishes typed on the page are kept, and a slip comes back with what was typed") {
    PairCast cast;
    PageForm form = cast.newcomers.form("/pairing", "/pairing/wish");
    form.set(form.named("languages"), "German, english");
    form.set(form.named("like"), "Marten");
    CHECK(has(cast.sent(cast.newcomers, form), "Your wishes are kept"));
    CHECK(has(cast.newcomers.body("/pairing"), "value=\"German, English\""));
    CHECK(has(cast.officers.body("/club/pairing"), "Would like Marten: that is this proposal."));
    form.set(form.named("like"), "Nobody At All");
    const auto events = cast.newcomer.events();
    const Response back = cast.newcomers.send(form);
    CHECK(back.status == 404);
    CHECK(has(back.body, "value=\"Nobody At All\""));
    CHECK(cast.newcomer.events() == events);
}

TEST_CASE("A mentor has no field for mentors they would like") {
    PairCast cast;
    CHECK_FALSE(has(cast.mentors.body("/pairing"), "Mentors you would like"));
}

TEST_CASE("The note about somebody is on the own page, with the way to forget it") {
    PairCast cast;
    PageForm form = cast.newcomers.form("/pairing", "/pairing/not-with");
    form.set(form.named("who"), "Marten");
    CHECK(has(cast.sent(cast.newcomers, form), "Noted on your own machines alone"));
    CHECK_FALSE(has(cast.mentors.body("/pairing"), "Forget the note"));
    const PageForm forget = cast.newcomers.form("/pairing", "/pairing/no-matter", "Forget the note about Marten");
    CHECK(has(cast.sent(cast.newcomers, forget), "is gone"));
}

TEST_CASE("At a review three clicks are kept as one word, and a missing one comes back") {
    PairCast cast;
    cast.paired();
    cast.clock.pass_days(30);
    CHECK(has(cast.newcomers.body("/"), "after 30 days: how does it go?"));
    PageForm form = cast.newcomers.form("/pairing", "/pairing/review");
    const std::string name = form.get("form");
    form.set(name + "-time", "well");
    form.set(name + "-ahead", "talk");
    CHECK(cast.newcomers.send(form).status == 400);
    form.set(name + "-together", "well");
    CHECK(has(cast.sent(cast.newcomers, form), "Kept: needs a talk."));
    CHECK(has(cast.officers.body("/club/pairing"), "Nadia: needs a talk; Marten: not answered yet."));
}

TEST_CASE("A mentor hands over by the page, and the two are shown the thanks") {
    PairCast cast;
    cast.paired();
    PageForm form = cast.mentors.form("/pairing", "/pairing/hand-over");
    CHECK(has(cast.mentors.send(form).body, "Choose to whom; nothing was done."));
    form.set(form.named("to"), to_hex(cast.officer.id().view()));
    form.set(form.named("thanks"), "It was a pleasure.");
    CHECK(has(cast.sent(cast.mentors, form), "Handed over, with thanks"));
    CHECK(has(cast.newcomers.body("/pairing"), "<q>It was a pleasure.</q>"));
    CHECK(has(cast.newcomers.body("/pairing"), "Yes, with Olga"));
}

TEST_CASE("An officer says on the board that a mentor cannot be reached, and the newcomer reads it kindly") {
    PairCast cast;
    cast.paired();
    PageForm form = cast.officers.form("/club/pairing", "/club/pairing/out-of-reach");
    form.set(form.named("mentor"), to_hex(cast.mentor.id().view()));
    form.set("gone-sure", "yes");
    CHECK(has(cast.sent(cast.officers, form), "Nadia comes first in the next proposal"));
    CHECK(has(cast.newcomers.body("/pairing"), "The club looks for somebody new for you, and you come first."));
    CHECK(has(cast.officers.body("/club/pairing"), "comes first, the mentor could not be reached"));
}

TEST_CASE("Nobody is out of reach before a person chose who, and ticked that it is so") {
    PairCast cast;
    cast.paired();
    const PageForm form = cast.officers.form("/club/pairing", "/club/pairing/out-of-reach");
    CHECK(form.get("gone-mentor").empty());
    PageForm unsure = form;
    unsure.set("gone-mentor", to_hex(cast.mentor.id().view()));
    PageForm nobody = form;
    nobody.set("gone-sure", "yes");
    const auto events = cast.officer.events();
    const Response asked = cast.officers.send(unsure);
    CHECK(asked.status == 400);
    CHECK(has(asked.body, "id=\"f-gone-sure-problem\""));
    CHECK(has(cast.officers.send(nobody).body, "Choose who cannot be reached"));
    CHECK(cast.officer.events() == events);
}

TEST_CASE("A pairing is ended by a button with both names, after a box was ticked") {
    PairCast cast;
    cast.paired();
    struct Case {
        PagesOf* pages;
        const char* page;
        const char* action;
        const char* words;
    };
    const Case cases[] = {{&cast.officers, "/club", "/club/end", "End it with thanks: Nadia with Marten"},
                          {&cast.newcomers, "/pairing", "/pairing/end", "End it with Marten, with thanks"}};
    for (const Case& c : cases) {
        CAPTURE(c.page);
        const PageForm form = c.pages->form(c.page, c.action, c.words);
        const auto events = c.pages->events();
        const Response refused = c.pages->send(form);
        CHECK(refused.status == 400);
        CHECK(has(refused.body, "Tick the box first; nothing was done."));
        CHECK(c.pages->events() == events);
    }
}

TEST_CASE("Notes of an officer are kept and forgotten by the board") {
    PairCast cast;
    PageForm apart = cast.officers.form("/club/pairing", "/club/pairing/apart");
    CHECK(has(cast.sent(cast.officers, apart), "are kept apart in your own proposals"));
    CHECK(has(cast.officers.body("/club/pairing"), "An officer has ruled this pair out."));
    const PageForm together = cast.officers.form("/club/pairing", "/club/pairing/together");
    CHECK(has(cast.sent(cast.officers, together), "may be proposed again"));
    PageForm cleared = cast.officers.form("/club/pairing", "/club/pairing/cleared");
    cleared.set(cleared.named("until"), "not a day");
    CHECK(cast.officers.send(cleared).status == 400);
    cleared.set(cleared.named("until"), "2028-01-31");
    CHECK(has(cast.sent(cast.officers, cleared), "holds until 2028-01-31"));
}

TEST_CASE("A resting mentor's newcomer is handed over from the board") {
    PairCast cast;
    cast.paired();
    node::CardRequest rest;
    rest.resting = true;
    must(node::change_card(cast.mentor.context, rest));
    node::CardRequest room;
    room.room = 1;
    must(node::change_card(cast.officer.context, room));
    cast.syncs();
    PageForm form = cast.officers.form("/club/pairing", "/club/pairing/hand-over", "Hand Nadia over to");
    CHECK(has(cast.officers.send(form).body, "Choose to whom; nothing was done."));
    form.set(form.named("-to"), to_hex(cast.officer.id().view()));
    CHECK(has(cast.sent(cast.officers, form), "Handed over, with thanks"));
}
