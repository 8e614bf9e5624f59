// Leaving, taking somebody out, a lost machine, a guardian's consent, by the forms of their page.

#include "node/commands/sees.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

std::string club_key(Cast& cast) {
    return to_hex(cast.officer.circle(CircleKind::club).view());
}

bool is_in_club(MemberNode& at, const MemberNode& who) {
    return must(node::person(at.db(), at.circle(CircleKind::club), who.id())).has_value();
}

}  // namespace

TEST_CASE("A mentor leaves the club by the form, once the box is ticked") {
    Cast cast;
    PageForm form = cast.mentors.form("/goings", "/goings/leave");
    form.set("leave-circle", club_key(cast));
    const node::web::Response early = cast.mentors.send(form);
    CHECK(early.status == 400);
    CHECK(has(early.body, "Tick the box first; nothing was done."));
    form.set("leave-sure", "yes");
    CHECK(cast.mentors.send(form).status == 303);
    sync(cast.officer, cast.mentor);
    CHECK_FALSE(is_in_club(cast.officer, cast.mentor));
}

TEST_CASE("Nothing is chosen before a person chooses, and the sentence says so") {
    Cast cast;
    for (const char* which : {"leave", "take-back", "lost", "remove"}) {
        CAPTURE(which);
        const std::string action = "/goings/" + std::string(which);
        PageForm form = cast.officers.form("/goings", action);
        form.set(form.get("form") + "-sure", "yes");
        const auto events = cast.officer.events();
        const node::web::Response answer = cast.officers.send(form);
        CHECK(answer.status == 400);
        CHECK(has(answer.body, "Choose from the list"));
        CHECK(cast.officer.events() == events);
    }
}

TEST_CASE("An officer takes somebody out by the form, with a reason that the circle sees") {
    Cast cast;
    PageForm form = cast.officers.form("/goings", "/goings/remove");
    form.set("remove-who", club_key(cast) + "-" + to_hex(cast.mentor.id().view()));
    form.set("remove-because", "moved away");
    form.set("remove-sure", "yes");
    CHECK(cast.officers.send(form).status == 303);
    CHECK_FALSE(is_in_club(cast.officer, cast.mentor));
}

TEST_CASE("A member who is no officer takes nobody out of the club") {
    Cast cast;
    CHECK(has(cast.mentors.body("/goings"), "There is nobody whom you may take out."));
    PageForm form = cast.officers.form("/goings", "/goings/remove");
    form.set("remove-who", club_key(cast) + "-" + to_hex(cast.newcomer.id().view()));
    form.set("remove-sure", "yes");
    CHECK(cast.mentors.send(form).status >= 400);
    CHECK(is_in_club(cast.mentor, cast.newcomer));
}

TEST_CASE("The own machines stand in the list of what may be lost") {
    Cast cast;
    const std::string page = cast.newcomers.body("/goings");
    const auto sight = must(node::who_sees(cast.newcomer.context));
    bool found = false;
    for (const auto& circle : sight) {
        for (const auto& person : circle.people) {
            for (const auto& device : person.devices) found = found || has(page, ">" + device + "</option>");
        }
    }
    CHECK(found);
}

TEST_CASE("A guardian agrees and takes it back by the form; nobody else sees that form") {
    SetClock clock;
    MemberNode kay{clock, 31};
    MemberNode gus{clock, 32};
    begin_as(kay, "Kay", MemberRole::newcomer, true);
    begin_as(gus, "Gus", MemberRole::guardian);
    join(kay, gus, "Gus", CircleKind::path, MemberRole::guardian);
    const PagesOf guardians(gus);
    CHECK_FALSE(has(PagesOf(kay).body("/goings"), "A guardian"));
    const PageForm form = guardians.form("/goings", "/goings/consent");
    CHECK(guardians.send(form, "do", "give").status == 303);
    clock.pass_minutes(1);
    CHECK(has(guardians.follow(guardians.send(form, "do", "take back")), "Your consent on the path of Kay"));
}
