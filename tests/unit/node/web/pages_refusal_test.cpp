// A refusal leads to what is meant, and names the page that does a thing instead of a command.

#include "node/web/pages/page_words.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

namespace {

// The page has that link, and what it leads to.
bool leads_to(const std::string& page, const std::string& id) {
    return has(page, "href=\"#" + id + "\"") && has(page, " id=\"" + id + "\"");
}

// As somebody with a path of their own reads it.
std::string read_by_newcomer(const std::string& sentence) {
    node::web::Viewer viewer;
    viewer.path = node::CircleView();
    return node::web::page_words_plain(viewer, sentence);
}

}  // namespace

TEST_CASE("A refusal leads to the field that it means") {
    Cast cast;
    CHECK(leads_to(cast.newcomers.send(cast.newcomers.form("/", "/ask")).body, "f-ask-topic"));
    PageForm leave = cast.mentors.form("/goings", "/goings/leave");
    CHECK(leads_to(cast.mentors.send(leave).body, "f-leave-sure"));
    leave.set("leave-sure", "yes");
    CHECK(leads_to(cast.mentors.send(leave).body, "f-leave-circle"));
    PageForm booked = cast.newcomers.form("/exam", "/exam", "It is booked");
    booked.set(booked.named("-day"), "soon");
    CHECK(leads_to(cast.newcomers.send(booked).body, "f-" + booked.named("-day")));
}

TEST_CASE("An invite whose days or address are no good leads to that field") {
    Cast cast;
    PageForm invite = cast.newcomers.form("/circles", "/circles/invite");
    invite.set(invite.named("-address"), "home");
    CHECK(leads_to(cast.newcomers.send(invite).body, "f-" + invite.named("-address")));
    invite.set(invite.named("-days"), "900");
    CHECK(leads_to(cast.newcomers.send(invite).body, "f-" + invite.named("-days")));
}

TEST_CASE("A figure of the worksheet that is no number is marked in its row") {
    Cast cast;
    PageForm sheet = cast.newcomers.form("/exposure?watt=5", "/exposure", "Keep this sheet");
    sheet.set("watt", "plenty");
    CHECK(leads_to(cast.newcomers.send(sheet).body, "f-watt"));
}

TEST_CASE("A refusal that means no single field leads to the form that came back") {
    Cast cast;
    PageForm contact = cast.newcomers.form("/contact", "/contact");
    contact.set(contact.named("-call"), "");
    contact.set(contact.named("-worked"), "");
    const Response answer = cast.newcomers.send(contact);
    REQUIRE(answer.status >= 400);
    CHECK((leads_to(answer.body, "came-back") || has(answer.body, "Go to what is meant")));
    PageForm meet = cast.newcomers.form("/meet", "/meet");
    meet.set(meet.named("-day"), "2020-01-01");
    const std::string page = cast.newcomers.send(meet).body;
    CHECK(has(page, "is past; arrange a time to come"));
    CHECK((leads_to(page, "came-back") || has(page, "Go to what is meant")));
}

TEST_CASE("A page names pages where a command's sentence names commands") {
    CHECK(read_by_newcomer("For one, arrange a contact with 'ladderline meet'.") ==
          "For one, arrange a contact with the page Meet on the air.");
    CHECK(read_by_newcomer("Times first: ladderline card --times \"Tue 18:00-21:00\" --zone ZONE.") ==
          "Times first: the page Your card.");
    CHECK(read_by_newcomer("It needs your call sign (ladderline card --call SIGN).") ==
          "It needs your call sign (the page Your card).");
    CHECK(read_by_newcomer("Well done. 'ladderline ready' shows where practice helps.") ==
          "Well done. The page How ready am I? shows where practice helps.");
    CHECK(read_by_newcomer("Take it back first: ladderline tick 04.06 --undo.") ==
          "Take it back first: the page of 04.06.");
}

TEST_CASE("What only the command line does keeps its command") {
    for (const char* sentence : {"A key file is made with 'ladderline key-file PATH'.", "No command here.", ""}) {
        CHECK(read_by_newcomer(sentence) == sentence);
    }
}

TEST_CASE("Whoever is in no club reads on the page of pairings where to join one") {
    SetClock clock;
    MemberNode alone{clock, 51};
    begin_as(alone, "Ada", protocol::MemberRole::newcomer);
    const std::string page = PagesOf(alone).body("/pairing");
    CHECK(has(page, "use the page <a href=\"/join\">Join a circle</a>"));
    CHECK_FALSE(has(page, "ladderline join"));
}
