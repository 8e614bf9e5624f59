// The club's questions and figures, by the pages.

#include "node/commands/club_row.hpp"
#include "tests/unit/node/commands/review_club.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("All 36 questions stand on one page, each a click away") {
    Cast cast;
    const std::string page = cast.officers.body("/club/questions");
    for (int number = 1; number <= 36; ++number) {
        CHECK(has(page, "/club/questions/" + std::to_string(number) + "\""));
    }
    CHECK(has(cast.officers.body("/club"), "All 36 questions"));
}

TEST_CASE("A question's page answers with names, how old the news is and what is not known") {
    Cast cast;
    must(node::share_with_club(cast.newcomer.context, day("2027-01-31")));
    cast.everybody_syncs();
    const std::string page = cast.officers.body("/club/questions/8");
    CHECK(has(page, "<h1>8. No mentor</h1>"));
    CHECK(has(page, "Looked at: 1 newcomer whose row the club may read."));
    CHECK(has(page, "As of "));
    CHECK(has(page, "Not known: 0."));
}

TEST_CASE("A mentor asks about the paths they share and is sent away from the club's rows") {
    Cast cast;
    CHECK(cast.mentors.get("/club/questions/20").status == 200);
    CHECK(cast.mentors.get("/club/questions/8").status == 403);
    CHECK(cast.mentors.get("/club/numbers").status == 403);
}

TEST_CASE("A number that no question has is no page of answers") {
    Cast cast;
    for (const char* number : {"0", "37", "x"}) {
        CHECK(cast.officers.get("/club/questions/" + std::string(number)).status == 400);
    }
}

TEST_CASE("Of fewer than five people the figures show nothing, and no curve is drawn") {
    Cast cast;
    const std::string page = cast.officers.body("/club/numbers");
    CHECK(has(page, "Fewer than five people began"));
    CHECK_FALSE(has(page, "<svg viewBox=\"0 0 6"));
}

TEST_CASE("From five people on a curve is drawn, with its figures in a table") {
    ReviewClub club;
    PagesOf pages(club.olga);
    for (int i = 0; i < 5; ++i) club.newcomer("N" + std::to_string(i), club.row("05"));
    club.clock.pass_days(40);
    protocol::ClubRowBody row = club.row("09");
    row.last_contact = club.today();
    club.show(club.members[0], row);
    club.clock.pass_days(60);  // four are followed for 100 days
    const std::string page = pages.body("/club/numbers");
    CHECK(has(page, "From past the examination to the first contact: curves"));
    CHECK(has(page, "Share that had got there, and how many were still waiting"));
    CHECK(has(page, "20 % (fewer than five)"));
    CHECK_FALSE(has(page, "N1"));
}

TEST_CASE(
    "A club in which nobody is listed does not say that everybody has a mentor, and one of officers alone begins") {
    ReviewClub club;
    const std::string page = PagesOf(club.olga).body("/club");
    CHECK(has(page, "Nobody is listed yet"));
    CHECK(has(page, "Nobody but officers is in it yet."));
    club.enter("Ben", protocol::MemberRole::mentor);
    CHECK_FALSE(has(PagesOf(club.olga).body("/club"), "Nobody but officers"));
    CHECK_FALSE(has(page, "has a mentor."));
}

TEST_CASE("The year is one page of counts") {
    Cast cast;
    const std::string page = cast.officers.body("/club/year");
    CHECK(has(page, "Made their first contact: fewer than five."));
    CHECK_FALSE(has(page, "Nadia"));
}

namespace {

// Ana waits for an answer, so that the list names her.
struct Waiting : ReviewClub {
    MemberNode& ben = enter("Ben", protocol::MemberRole::mentor);
    MemberNode& ana = newcomer("Ana", asking());
    PagesOf pages{olga};

    protocol::ClubRowBody asking() {
        protocol::ClubRowBody out = row();
        out.mentor = ben.id();
        out.help_topic = "tone";
        out.help_since = today() + -10;
        return out;
    }
};

}  // namespace

TEST_CASE("A line of the review says what alone would take it off the list") {
    Waiting w;
    CHECK(has(w.pages.body("/club"), "Would fall out of the list if the question were answered."));
}

TEST_CASE("One press notes that somebody was asked, and takes them off the list") {
    Waiting w;
    const std::string said = w.pages.follow(w.pages.send(w.pages.form("/club", "/club/asked")));
    CHECK(has(said, "Ana was asked on 2026-03-02 and is fine"));
    CHECK(has(said, "Asked lately, and fine: Ana (on the list again from 2026-03-16)."));
    CHECK_FALSE(has(said, "Would fall out of the list"));
}

TEST_CASE("A slip with \"Asked\" is taken back by the button, and who waits is on the list again") {
    Waiting w;
    const std::string after = w.pages.send(w.pages.form("/club", "/club/asked")).header_value("Location");
    const std::string said = w.pages.follow(w.pages.send(w.pages.form(after, "/club/asked", "Undo")));
    CHECK(has(said, "Would fall out of the list if the question were answered."));
    CHECK_FALSE(has(said, "Asked lately"));
}

TEST_CASE("The hand-over names what is open, and a name that fits nobody comes back with its sentence") {
    Waiting w;
    const std::string page = w.pages.body("/club/handover");
    CHECK(has(page, "<strong>Ana</strong>: tone, asked 10 days ago, with Ben"));
    CHECK(has(page, "Officers: Olga."));
    PageForm form = w.pages.form("/club/handover", "/club/officer");
    form.set("seat-who", "Nobody");
    const auto refused = w.pages.send(form);
    CHECK(refused.status == 404);
    CHECK(has(refused.body, "value=\"Nobody\""));
    form.set("seat-who", "Ben");
    CHECK(has(w.pages.follow(w.pages.send(form)), "Ben is an officer now."));
    CHECK(has(w.pages.body("/club/handover"), "Officers: Ben, Olga."));
}

TEST_CASE("Old records are listed, and taken off after a box was ticked") {
    Waiting w;
    CHECK(has(w.pages.body("/club/old"), "There are no old records here."));
    w.clock.to("2028-01-01T12:00Z");
    CHECK(has(w.pages.body("/club/old"), "the consent is over"));
    PageForm drop = w.pages.form("/club/old", "/club/old");
    CHECK(w.pages.send(drop).status == 400);
    drop.set("old-sure", "yes");
    const std::string said = w.pages.follow(w.pages.send(drop));
    CHECK(has(said, "Removed from this node: 1 record of 1 person."));
    CHECK(has(said, "There are no old records here."));
}

TEST_CASE("An officer keeps the seat until a box was ticked") {
    Waiting w;
    PageForm seat = w.pages.form("/club/handover", "/club/officer");
    seat.set("seat-who", "Ben");
    w.pages.send(seat);
    PageForm down = w.pages.form("/club/handover", "/club/step-down");
    CHECK(w.pages.send(down).status == 400);
    CHECK(has(w.pages.body("/club/handover"), "Officers: Ben, Olga."));
    down.set("down-sure", "yes");
    CHECK(has(w.pages.follow(w.pages.send(down)), "with thanks"));
}

TEST_CASE("What officers hand over is not shown to anybody else") {
    Cast cast;
    for (const char* page : {"/club/handover", "/club/old"}) CHECK(cast.mentors.get(page).status == 403);
}
