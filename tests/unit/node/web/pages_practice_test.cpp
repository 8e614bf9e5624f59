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

TEST_CASE("A question that is answered by two presses is counted once, and the next one counts again") {
    Cast cast;
    const PageForm form = cast.newcomers.form("/practise", "/practise");
    const Response first = cast.newcomers.send(form, "place", "none");
    const Response second = cast.newcomers.send(form, "place", "none");
    CHECK(second.header_value("Location") == first.header_value("Location"));
    CHECK(has(cast.newcomers.follow(second), "Today: 0 of 1 right."));
    const PageForm next = cast.newcomers.form("/practise", "/practise");
    CHECK(has(cast.newcomers.follow(cast.newcomers.send(next, "place", "none")), "Today: 0 of 2 right."));
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

namespace {

// A paper drawn by the newcomer on the page: the address of its page.
std::string drawn_paper(Cast& cast, const std::string& mode = "random") {
    const Response drawn = cast.newcomers.post("/mock/draw", {{"mode", mode}, {"pool", "0"}});
    return drawn.header_value("Location");
}

}  // namespace

TEST_CASE("A mock paper is drawn, written on the screen, handed in, and its result stands in the list") {
    Cast cast;
    const std::string address = drawn_paper(cast);
    PageForm form = cast.newcomers.form(address, "/mock/mark");
    form.set("paper-q1", "A");
    form.set("paper-minutes", "20");
    const std::string page = cast.newcomers.follow(cast.newcomers.send(form));
    CHECK(has(page, "of 12 right, and 9 pass."));
    CHECK(has(page, "It took 20 minutes."));
    CHECK(has(page, "Missed groups:"));
    CHECK(has(cast.newcomers.body("/mock"), "not passed"));
    CHECK(has(cast.newcomers.body("/ready/calibration?pool=0"), "Of 1 paper "));
}

TEST_CASE("A mock paper on the screen does not show its answers, the marking sheet does") {
    Cast cast;
    const std::string address = drawn_paper(cast, "fresh");
    CHECK_FALSE(has(cast.newcomers.body(address), "Right answers</caption>"));
    const std::string number = address.substr(address.rfind('/') + 1);
    CHECK(has(cast.newcomers.body("/mock/sheet/" + number), "Right answers"));
}

TEST_CASE("A paper typed back in with a slip comes back with everything typed and nothing stored") {
    Cast cast;
    const std::string address = drawn_paper(cast);
    const std::string number = address.substr(address.rfind('/') + 1);
    const auto before = cast.newcomer.events();
    PageForm form = cast.newcomers.form("/mock", "/mock/mark");
    form.set("typed-number", number);
    form.set("typed-answers", "ABCDABCDABCE");
    const Response refused = cast.newcomers.send(form);
    CHECK(refused.status == 400);
    CHECK(has(refused.body, "Answer 12 is E"));
    CHECK(has(refused.body, number));
    CHECK(has(refused.body, "ABCDABCDABCE"));
    CHECK(cast.newcomer.events() == before);
    form.set("typed-answers", "abcd abcd abc?");
    CHECK(has(cast.newcomers.follow(cast.newcomers.send(form)), "of 12 right"));
}

TEST_CASE("A number that no paper has is said on the page of the form") {
    Cast cast;
    PageForm form = cast.newcomers.form("/mock", "/mock/mark");
    form.set("typed-number", "0000-0000-0000-0000");
    form.set("typed-answers", "A");
    const Response refused = cast.newcomers.send(form);
    CHECK(refused.status == 404);
    CHECK(has(refused.body, "look for a slip in it"));
    CHECK(cast.newcomers.get("/mock/paper/nonsense").status == 400);
    CHECK(cast.newcomers.get("/mock/result/nonsense").status == 404);
}

TEST_CASE("Problems to work out are answered with the working shown and leave no trace") {
    Cast cast;
    const auto before = cast.newcomer.events();
    const PageForm form = cast.newcomers.form("/practise/problems", "/practise/problems");
    const std::string page = cast.newcomers.follow(cast.newcomers.send(form, "place", "none"));
    CHECK(has(page, "The right answer is"));
    CHECK(has(page, "Where the others come from"));
    CHECK(cast.newcomer.events() == before);
}

TEST_CASE("A mentor explains a question on its page, and the newcomer reads it after the answer") {
    Cast cast;
    PageForm form = cast.mentors.form("/practise/why?pool=0&question=P1A01", "/practise/why");
    form.set("why-text", "Twenty-five are <not> enough.");
    CHECK(has(cast.mentors.follow(cast.mentors.send(form)), "Explained for the club"));
    cast.everybody_syncs();
    const std::string page = cast.newcomers.follow(
        cast.newcomers.post("/practise", {{"pool", "0"}, {"question", "P1A01"}, {"order", "0123"}, {"place", "0"}}));
    CHECK(has(page, "Twenty-five are &lt;not&gt; enough."));
    CHECK(has(page, "Marten"));
}

TEST_CASE("An explanation of a question that is not there is refused on a page of its own") {
    Cast cast;
    CHECK(cast.mentors.get("/practise/why?pool=0&question=P9Z99").status == 404);
}
