// Exam and licence, may I transmit here, and the class, by the pages.

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
