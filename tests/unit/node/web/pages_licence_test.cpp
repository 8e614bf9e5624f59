// Exam and licence, may I transmit here, and the class, by the pages.

#include "node/commands/exam.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

TEST_CASE("A newcomer books a session by the page and sees it there") {
    Cast cast;
    PageForm form = cast.newcomers.form("/exam", "/exam");
    form.set(form.named("-day"), to_iso(cast.newcomer.context.today() + 3));
    form.set(form.named("-place"), "Valley library");
    const Response taken = cast.newcomers.send(form);
    const std::string page = cast.newcomers.follow(taken);
    CHECK(has(page, "Your exam, element 2 is in 3 days"));
    CHECK(has(page, "Valley library"));
    CHECK(has(page, "own instructions come first"));
}

TEST_CASE("A booked session is taken off by its button, and booked again by the one that takes that back") {
    Cast cast;
    const Day session = cast.newcomer.context.today() + 3;
    must(node::exam_booked(cast.newcomer.context, {session, "2", "Valley library"}));
    const auto facts = [&] { return must(node::exam_view(cast.newcomer.context, "")).facts; };
    const Response off = cast.newcomers.send(cast.newcomers.form("/exam", "/exam", "It is off"));
    CHECK_FALSE(facts().dates.exam_booked.has_value());
    CHECK_FALSE(has(cast.newcomers.body("/exam"), "It is off"));
    const std::string address = off.header_value("Location");
    CHECK(cast.newcomers.send(cast.newcomers.form(address, "/exam", "Undo")).status == 303);
    CHECK(facts().dates.exam_booked == session);
    CHECK(facts().booked_place == "Valley library");
}

TEST_CASE("A day that is past comes back with what was typed") {
    Cast cast;
    PageForm form = cast.newcomers.form("/exam", "/exam");
    form.set(form.named("-day"), "2020-01-01");
    form.set(form.named("-place"), "Valley library");
    const Response refused = cast.newcomers.send(form);
    CHECK(refused.status == 400);
    CHECK(has(refused.body, "2020-01-01 is past"));
    CHECK(has(refused.body, "Valley library"));
}

namespace {

PageForm paper(Cast& cast, const std::string& how) {
    PageForm form = cast.newcomers.form("/exam", "/exam", "Not this time");
    form.set("result-element", "2");
    form.set("result-day", to_iso(cast.newcomer.context.today()));
    if (!how.empty()) form.set("result-how", how);
    return form;
}

// The address of the page after it.
std::string write_down(Cast& cast, const std::string& how) {
    const Response taken = cast.newcomers.send(paper(cast, how));
    REQUIRE(taken.status == 303);
    return taken.header_value("Location");
}

bool is_passed(Cast& cast) {
    return !must(node::exam_view(cast.newcomer.context, "")).facts.passed.empty();
}

}  // namespace

TEST_CASE("A paper that was sat has no answer before a person gives one, so Enter reports nothing") {
    Cast cast;
    const PageForm form = paper(cast, "");
    CHECK(form.buttons.empty());  // none of them is an answer
    const auto events = cast.newcomer.events();
    const Response refused = cast.newcomers.send(form);
    CHECK(refused.status == 400);
    CHECK(has(refused.body, "id=\"f-result-how-problem\""));
    CHECK(cast.newcomer.events() == events);
}

TEST_CASE("Passed by mistake is taken back by the button, and the tick that came with it as well") {
    Cast cast;
    const std::string after = write_down(cast, "yes");
    REQUIRE(is_passed(cast));
    REQUIRE(cast.state("03.08", cast.newcomer).reached());
    const PageForm undo = cast.newcomers.form(after, "/exam", "Undo");
    CHECK(has(cast.newcomers.follow(cast.newcomers.send(undo)), "no longer stands as passed, and 03.08 is open again"));
    CHECK_FALSE(is_passed(cast));
    CHECK_FALSE(cast.state("03.08", cast.newcomer).reached());
}

TEST_CASE("\"Not this time\" for a day that stands as passed says so, and offers to take that back") {
    Cast cast;
    write_down(cast, "yes");
    const std::string after = write_down(cast, "no");
    CHECK(has(cast.newcomers.body(after), "still stands as passed on that day"));
    cast.newcomers.send(cast.newcomers.form(after, "/exam", "It was not passed"));
    CHECK_FALSE(is_passed(cast));
    CHECK(must(node::exam_view(cast.newcomer.context, "")).facts.not_passed.size() == 1);
}

TEST_CASE("\"Not this time\" is taken off the desk by its button") {
    Cast cast;
    const std::string after = write_down(cast, "no");
    cast.newcomers.send(cast.newcomers.form(after, "/exam", "Undo"));
    CHECK(must(node::exam_view(cast.newcomer.context, "")).facts.not_passed.empty());
}

TEST_CASE("A paper that was passed before has no button that would take the former day along") {
    Cast cast;
    write_down(cast, "yes");
    CHECK_FALSE(has(cast.newcomers.body(write_down(cast, "yes")), ">Undo</button>"));
}

TEST_CASE("The page answers yes, no and not known with the rule, and says what can be used instead") {
    Cast cast;
    const std::string yes = cast.newcomers.body("/may?frequency=146.52&mode=FM&class=T&power=50&tone=");
    CHECK(has(yes, "<h2>Yes</h2>"));
    CHECK(has(yes, "47 CFR 97.301(a)"));
    const std::string no = cast.newcomers.body("/may?frequency=14.348&mode=USB&class=G&power=&tone=");
    CHECK(has(no, "The signal reaches from 14.348 MHz"));
    CHECK(has(no, "14.347 MHz"));
    CHECK(has(cast.newcomers.body("/may?frequency=223.5&mode=FM&class=N&power=&tone="), "was not checked against"));
    CHECK(has(cast.newcomers.body("/may?frequency=abc&mode=FM&class=N&power=&tone="), "is not a frequency"));
    CHECK(has(cast.newcomers.body("/may?frequency=14.2&mode=USB&class=E&power=lots&tone="), "Say the power in watts"));
}

TEST_CASE("The class is on the officer's page, and refused to a newcomer") {
    Cast cast;
    CHECK(has(cast.officers.body("/class"), "fewer than five show their study"));
    CHECK(cast.newcomers.get("/class").status == 403);
}
