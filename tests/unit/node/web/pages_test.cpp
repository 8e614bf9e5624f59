#include "node/web/pages/pages.hpp"

#include "node/commands/contacts.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

TEST_CASE("The first page is the one that its owner needs") {
    Cast cast;
    CHECK(has(cast.newcomers.body("/"), "Your next step"));
    CHECK(has(cast.mentors.body("/"), "<h1>Your people</h1>"));
    CHECK(has(cast.officers.body("/"), "Who needs us"));
}

TEST_CASE("A store with nobody beside its owner says how others come in") {
    SetClock clock;
    MemberNode alone(clock, 21);
    begin_as(alone, "Marten", protocol::MemberRole::mentor);
    CHECK(has(PagesOf(alone).body("/"), "Nobody is here with you yet"));
}

TEST_CASE("Every page of every person opens, has one heading and no broken end") {
    Cast cast;
    struct Case {
        PagesOf* pages;
        const char* path;
    };
    const Case cases[] = {
        {&cast.newcomers, "/"},
        {&cast.newcomers, "/way"},
        {&cast.newcomers, "/way/09.06"},
        {&cast.newcomers, "/contact"},
        {&cast.newcomers, "/meet"},
        {&cast.newcomers, "/practise"},
        {&cast.newcomers, "/ready"},
        {&cast.newcomers, "/club"},
        {&cast.newcomers, "/circles"},
        {&cast.newcomers, "/card"},
        {&cast.newcomers, "/people"},
        {&cast.mentors, "/people"},
        {&cast.mentors, "/club"},
        {&cast.mentors, "/circles"},
        {&cast.mentors, "/card"},
        {&cast.mentors, "/practise"},
        {&cast.officers, "/club"},
        {&cast.officers, "/circles"},
        {&cast.officers, "/card"},
        {&cast.officers, "/people"},
        {&cast.newcomers, "/exam"},
        {&cast.newcomers, "/may"},
        {&cast.officers, "/class"},
        {&cast.mentors, "/class"},
        {&cast.officers, "/exam"},
        {&cast.newcomers, "/contact/quick"},
        {&cast.newcomers, "/contact/net"},
        {&cast.newcomers, "/contact/file"},
        {&cast.newcomers, "/contact/sheet"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.path);
        const Response response = c.pages->get(c.path);
        CHECK(response.status == 200);
        CHECK(response.body.find("<h1>") == response.body.rfind("<h1>"));
        CHECK(response.body.ends_with("</html>"));
    }
    CHECK(cast.mentors.get(cast.bench()).status == 200);
}

TEST_CASE("The links lead only to pages that apply to the person") {
    Cast cast;
    CHECK(has(cast.newcomers.body("/"), "<a href=\"/practise\" accesskey=\"p\">Practise</a>"));
    CHECK_FALSE(has(cast.newcomers.body("/"), ">People</a>"));
    CHECK(has(cast.mentors.body("/club"), ">People</a>"));
    CHECK_FALSE(has(cast.mentors.body("/club"), ">Practise</a>"));
    CHECK_FALSE(has(cast.officers.body("/club"), ">People</a>"));
}

TEST_CASE("A way that one has not is a sentence with the links, not a broken page") {
    Cast cast;
    const Response response = cast.mentors.get("/way");
    CHECK(response.status == 404);
    CHECK(has(response.body, "You have no way of your own here"));
    CHECK(has(response.body, ">Club</a>"));
}

TEST_CASE("An address that is no page keeps the links") {
    Cast cast;
    const Response response = cast.newcomers.get("/nothing");
    CHECK(response.status == 404);
    CHECK(has(response.body, ">Next step</a>"));
}

TEST_CASE("Ticking the next step by its form stores it, says so and shows another next step") {
    Cast cast;
    const auto before = must(node::way(cast.newcomer.context, "")).progress.next;
    REQUIRE(before.has_value());
    const std::string item = domain::to_text(before->item);
    PageForm form = cast.newcomers.form("/", "/way/" + item, "I did this");
    form.set(form.named("evidence"), "talked with the family");
    const std::string after = cast.newcomers.follow(cast.newcomers.send(form));
    CHECK(has(after, "is ticked on your way"));
    CHECK(has(after, "Your next step"));
    CHECK(cast.state(item, cast.newcomer).tick->text == "talked with the family");
    CHECK(must(node::way(cast.newcomer.context, "")).progress.next->item != before->item);
}

TEST_CASE("A refused tick stores nothing and comes back with what was typed and one sentence") {
    Cast cast;
    PageForm form = cast.newcomers.form("/way/04.06", "/way/04.06", "I did this");
    form.set(form.named("evidence"), "not a call sign");
    form.set(form.named("day"), "2026-09-20");
    const auto events = cast.newcomer.events();
    const Response response = cast.newcomers.send(form);
    CHECK(response.status == 400);
    CHECK(has(response.body, "value=\"not a call sign\""));
    CHECK(has(response.body, "value=\"2026-09-20\""));
    CHECK(has(response.body, "role=\"alert\""));
    CHECK(cast.newcomer.events() == events);
}

TEST_CASE(
    "The fee's notice is ticked with the day of the e-mail: none stands there beforehand, and no button skips it") {
    Cast cast;
    PageForm form = cast.newcomers.form("/way/04.01", "/way/04.01", "I did this");
    CHECK(has(cast.newcomers.body("/way/04.01"), "Day of the regulator&#39;s e-mail"));
    const auto events = cast.newcomer.events();
    CHECK(cast.newcomers.send(form).status == 400);
    CHECK(cast.newcomers.post("/way/04.01", {{"do", "tick"}, {"back", "stage"}}).status == 400);
    CHECK(cast.newcomer.events() == events);
    form.set(form.named("day"), "2026-09-20");
    CHECK(cast.newcomers.send(form).status == 303);
    CHECK(cast.state("04.01", cast.newcomer).tick->day == day("2026-09-20"));
}

TEST_CASE("No button of the stage ticks the fee's notice") {
    Cast cast;
    const std::string page = cast.newcomers.body("/way?stage=4");
    for (const PageForm& form : forms_of(page)) {
        if (form.action == "/way/04.01") CHECK_FALSE(has(form.words, "Tick"));
    }
}

TEST_CASE("Undo, skip, rest and open again each work by one button") {
    Cast cast;
    tick_item(cast.newcomer, "01.02");
    const auto press = [&](const std::string& deed) {
        const Response answer = cast.newcomers.post("/way/01.02", {{"do", deed}, {"back", "stage"}});
        CHECK(answer.status == 303);
        return cast.state("01.02", cast.newcomer).phase;
    };
    cast.clock.pass_minutes(1);
    CHECK(press("undo") == domain::Phase::open);
    cast.clock.pass_minutes(1);
    CHECK(press("skip") == domain::Phase::skipped);
    cast.clock.pass_minutes(1);
    CHECK(press("rest") == domain::Phase::resting);
    cast.clock.pass_minutes(1);
    CHECK(press("reopen") != domain::Phase::resting);
}

TEST_CASE("The whole way shows every item with its state in words, and buttons in the opened stage alone") {
    Cast cast;
    tick_item(cast.newcomer, "01.17");
    const std::string page = cast.newcomers.body("/way?stage=1");
    CHECK(has(page, "ticked, waits for a signature"));
    CHECK(has(page, "href=\"/way/19.01\""));
    bool others = false;
    for (const PageForm& form : forms_of(page)) others = others || !form.action.starts_with("/way/01.");
    CHECK_FALSE(others);
    CHECK(page.size() < 150'000);
}

TEST_CASE("An item about safety carries the caution and defers to code, regulator and licensed practice") {
    Cast cast;
    CHECK(has(cast.newcomers.body("/way/07.01"), "local electrical code"));
    CHECK_FALSE(has(cast.newcomers.body("/way/01.02"), "Take care"));
}

TEST_CASE("Resting takes the next step away, and going on brings it back") {
    Cast cast;
    const std::string resting =
        cast.newcomers.follow(cast.newcomers.send(cast.newcomers.form("/", "/rest", "Rest for a while")));
    CHECK(has(resting, "Nothing: you are resting"));
    const std::string back = cast.newcomers.follow(cast.newcomers.send(cast.newcomers.form("/", "/rest", "Go on")));
    CHECK_FALSE(has(back, "Nothing: you are resting"));
}

TEST_CASE("Pages listen for news of every circle that they show, and practice does not change under the thumb") {
    Cast cast;
    const std::string path = node::web::topic_of(cast.newcomer.circle(protocol::CircleKind::path).view());
    CHECK(path.size() == 64);
    CHECK(has(cast.newcomers.body("/"), path));
    CHECK(has(cast.mentors.body("/people"), path));
    CHECK(
        has(cast.officers.body("/club"), node::web::topic_of(cast.officer.circle(protocol::CircleKind::club).view())));
    CHECK(has(cast.newcomers.body("/practise"), "data-live=\"\""));
}

TEST_CASE("Words told after a deed are fetched by number, so no link can make the program say something") {
    Cast cast;
    CHECK_FALSE(has(cast.newcomers.body("/?said=Give+me+your+passphrase"), "passphrase"));
    CHECK_FALSE(has(cast.newcomers.body("/?said=99"), "class=\"notice done\""));
}
