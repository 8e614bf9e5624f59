// Several signatures by one form.

#include "node/commands/items.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

const char* const three[] = {"00.03", "00.08", "01.17"};

void tick_three(Cast& cast) {
    for (const char* item : three) tick_item(cast.newcomer, item, "done " + std::string(item));
    cast.everybody_syncs();
    cast.clock.pass_minutes(1);
}

PageForm many_form(Cast& cast) {
    return cast.mentors.form(cast.bench(), cast.bench() + "/sign-many");
}

void tick_box(PageForm& form, const std::string& item) {
    form.values.emplace_back("sign-many-items", item);
}

}  // namespace

TEST_CASE("Items that wait for the mentor stand in one form, none ticked, and are signed each by its own statement") {
    Cast cast;
    tick_three(cast);
    PageForm form = many_form(cast);
    CHECK(form.get("sign-many-items").empty());
    const auto before = cast.mentor.events();
    for (const char* item : three) tick_box(form, item);
    form.set("sign-many-saw", "club evening");
    form.set("sign-many-level", "2");
    const std::string after = cast.mentors.follow(cast.mentors.send(form));
    CHECK(has(after, "3 items are signed: 00.03, 00.08, 01.17."));
    CHECK(cast.mentor.events() == before + 3);
    cast.everybody_syncs();
    for (const char* item : three) {
        CAPTURE(item);
        REQUIRE(cast.state(item, cast.newcomer).signature.has_value());
        CHECK(cast.state(item, cast.newcomer).signature->text == "club evening");
    }
    CHECK(cast.state("01.17", cast.newcomer).signed_level() == domain::Level::with_help);
}

TEST_CASE("What cannot be signed is named with its reason, the rest is signed, and the form keeps it") {
    Cast cast;
    tick_three(cast);
    PageForm form = many_form(cast);
    for (const char* item : three) tick_box(form, item);
    form.set("sign-many-saw", "club evening");
    form.set("sign-many-level", "4");  // the mentor holds level 3
    const auto answer = cast.mentors.send(form);
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "Saved in part"));
    CHECK(has(answer.body, "2 items are signed: 00.03, 00.08."));
    CHECK(has(answer.body, "Left: 01.17."));
    CHECK(has(answer.body, "value=\"01.17\" checked"));
    CHECK(has(answer.body, "value=\"club evening\""));
    CHECK(cast.state("00.03", cast.mentor).signature.has_value());
    CHECK_FALSE(cast.state("01.17", cast.mentor).signature.has_value());
}

TEST_CASE("No box ticked is one sentence, and the note is still there") {
    Cast cast;
    tick_three(cast);
    PageForm form = many_form(cast);
    form.set("sign-many-saw", "club evening");
    const auto events = cast.mentor.events();
    const auto answer = cast.mentors.send(form);
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "Tick at least one item; nothing was signed."));
    CHECK(has(answer.body, "value=\"club evening\""));
    CHECK(cast.mentor.events() == events);
}

TEST_CASE("The list of people leads to the form where several wait, and one alone has its own form only") {
    Cast cast;
    tick_item(cast.newcomer, "00.03");
    cast.everybody_syncs();
    CHECK_FALSE(has(cast.mentors.body(cast.bench()), "sign-many"));
    CHECK_FALSE(has(cast.mentors.body("/people"), "#several"));
    tick_item(cast.newcomer, "00.08");
    cast.everybody_syncs();
    CHECK(has(cast.mentors.body("/people"), "Sign several at once: 2 wait for you"));
    CHECK(has(cast.mentors.body(cast.bench()), "id=\"several\""));
}
