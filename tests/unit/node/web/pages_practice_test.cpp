// Practice and readiness, by the pages.

#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

TEST_CASE("A newcomer answers a question, is told what was right, and looking again does not answer twice") {
    Cast cast;
    const PageForm form = cast.newcomers.form("/practise", "/practise");
    CHECK(form.buttons.size() == 5);
    const Response answer = cast.newcomers.send(form, "place", "none");
    const std::string page = cast.newcomers.follow(answer);
    CHECK(has(page, "the right one"));
    CHECK(has(page, "Next question"));
    CHECK(has(page, "Today: 0 of 1 right."));
    CHECK(has(cast.newcomers.body(answer.header_value("Location")), "Today: 0 of 1 right."));
    CHECK(has(cast.newcomers.body("/ready"), "1 over "));
}

TEST_CASE("The four buttons are counted as pressed: exactly one of them is right") {
    int right = 0;
    for (const char* place : {"0", "1", "2", "3"}) {
        Cast cast;
        const PageForm form = cast.newcomers.form("/practise", "/practise");
        const std::string page = cast.newcomers.follow(cast.newcomers.send(form, "place", place));
        right += has(page, "<h2>Right</h2>") ? 1 : 0;
        CHECK(has(page, "your choice"));
    }
    CHECK(right == 1);
}

TEST_CASE("The figures of readiness say what they are and that nobody else sees them") {
    Cast cast;
    const std::string page = cast.newcomers.body("/ready");
    CHECK(has(page, "It is a guide for your next hour, not a promise"));
    CHECK(has(page, "nobody but you sees this page"));
    CHECK(has(page, "Read this first"));
}
