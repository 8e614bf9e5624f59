// Pools and their figures, by the pages.

#include "tests/support/node/practice_pool.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

namespace {

const std::string picture = "\x89PNG\r\n\x1a\n and so on";

std::string pool_with_figure() {
    std::string out = element_2_pool();
    const std::string stem = "What does T1A01 ask?";
    return out.replace(out.find(stem), stem.size(), "What is component 1 in figure T-1?");
}

// A newcomer who took the pool in.
struct Learner : Cast {
    Response taken_in;

    explicit Learner(const std::string& text = pool_with_figure()) {
        taken_in =
            newcomers.send_file(newcomers.form("/practise/pools", "/practise/pools", "Take it in"), "file", text);
    }
    PageForm figure_form() { return newcomers.form("/practise/pools", "/practise/pools", "Keep it"); }
};

}  // namespace

TEST_CASE("A pool's file is taken in on the page, and what it is stands there") {
    Learner l;
    const std::string page = l.newcomers.follow(l.taken_in);
    CHECK(has(page, "FCC Element 2 Question Pool: 70 questions, for exams from 2022-07-01 to 2026-06-30."));
    CHECK(has(page, "FCC Element 2 Question Pool, 2022"));
}

TEST_CASE("A file that is no pool comes back with the sentence at its field") {
    Learner l("not a pool");
    CHECK(l.taken_in.status == 400);
    CHECK(has(l.taken_in.body, "nothing was imported"));
    CHECK(has(l.taken_in.body, "Please look:"));
}

TEST_CASE("A form without a file says that one is to be chosen") {
    Cast cast;
    const Response back = cast.newcomers.send(cast.newcomers.form("/practise/pools", "/practise/pools", "Take it in"));
    CHECK(back.status == 400);
    CHECK(has(back.body, "Choose a file first; nothing was taken in."));
}

TEST_CASE("A figure's picture is added on the page and shown with its question") {
    Learner l;
    CHECK(has(l.newcomers.body("/practise/pools"), "Its picture is not here yet."));
    PageForm form = l.figure_form();
    form.set(form.named("name"), "T-1");
    const std::string page = l.newcomers.follow(l.newcomers.send_file(form, "file", picture));
    CHECK(has(page, "Figure T-1 is here now"));
    CHECK(has(page, "/practise/figure?pool=2-2022&amp;name=T-1"));
    const Response image = l.newcomers.get("/practise/figure?pool=2-2022&name=T-1");
    CHECK(image.content_type == "image/png");
    CHECK(image.body == picture);
}

TEST_CASE("A page in place of a picture is refused, so that nothing of it is ever shown") {
    Learner l;
    PageForm form = l.figure_form();
    form.set(form.named("name"), "T-1");
    CHECK(l.newcomers.send_file(form, "file", "<html><script>1</script>").status == 400);
    CHECK(l.newcomers.get("/practise/figure?pool=2-2022&name=T-1").status == 404);
}

TEST_CASE("A mock paper shows the pictures that are here") {
    Learner l;
    PageForm form = l.figure_form();
    form.set(form.named("name"), "T-1");
    l.newcomers.send_file(form, "file", picture);
    // One of two questions of the group is drawn; twenty papers without the other are one in a million.
    bool shown = false;
    for (int i = 0; i < 20 && !shown; ++i) {
        const Response drawn = l.newcomers.post("/mock/draw", {{"mode", "random"}, {"pool", "2-2022"}});
        shown = has(l.newcomers.body(drawn.header_value("Location")), "<img class=\"figure\"");
    }
    CHECK(shown);
}
