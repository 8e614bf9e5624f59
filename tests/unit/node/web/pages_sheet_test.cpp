// The sheet of a way, typed back in by its page: shown first, then saved.

#include "node/commands/way_sheet.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

PageForm sheet_form(PagesOf& pages, const std::string& address, const std::string& lines) {
    PageForm form = pages.form(address, address);
    form.set("sheet-lines", lines);
    return form;
}

}  // namespace

TEST_CASE("What a sheet says is shown before anything is saved") {
    Cast cast;
    const auto before = cast.newcomer.events();
    const auto answer = cast.newcomers.send(
        sheet_form(cast.newcomers, "/way/sheet", "0.8 2026-01-02 wrote it down\n\n# a remark\no.1\n0.3 2026-01-0X\n"));
    CHECK(answer.status == 200);
    CHECK(has(answer.body, "nothing is saved yet"));
    CHECK(has(answer.body, "2026-01-02: wrote it down"));
    CHECK(has(answer.body, "which is no item&#39;s number"));
    CHECK(has(answer.body, "0.3 2026-01-0X"));
    CHECK(has(answer.body, "Save these lines"));
    CHECK(has(answer.body, "o.1\n0.3 2026-01-0X</textarea>"));
    CHECK(cast.newcomer.events() == before);
}

TEST_CASE("A sheet that is right is saved whole, and typed in twice says nothing twice") {
    Cast cast;
    const std::string lines = "0.3 2026-01-02\n0.8 2026-01-03 wrote it down together\n";
    const PageForm form = sheet_form(cast.newcomers, "/way/sheet", lines);
    CHECK(has(cast.newcomers.follow(cast.newcomers.send(form, "do", "save")), "2 lines are saved."));
    CHECK(cast.state("00.08", cast.newcomer).tick->text == "wrote it down together");
    const auto before = cast.newcomer.events();
    CHECK(has(cast.newcomers.send(form).body, "stands already"));
    CHECK(has(cast.newcomers.follow(cast.newcomers.send(form, "do", "save")), "2 stood already."));
    CHECK(cast.newcomer.events() == before);
}

TEST_CASE("Lines that cannot be saved stay in the form with their reason, and the others are saved") {
    Cast cast;
    const PageForm form =
        sheet_form(cast.newcomers, "/way/sheet", "0.3 2026-01-02\n9.99 2026-01-02\n0.8 2999-01-01 too early\n");
    const auto answer = cast.newcomers.send(form, "do", "save");
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "Saved in part"));
    CHECK(has(answer.body, "1 line is saved. 2 lines are left; why stands with each."));
    CHECK(has(answer.body, "0.8 2999-01-01 too early: "));
    CHECK(has(answer.body, "9.99 2026-01-02\n0.8 2999-01-01 too early</textarea>"));
    CHECK(cast.state("00.03", cast.newcomer).tick.has_value());
    CHECK_FALSE(cast.state("00.08", cast.newcomer).tick.has_value());
}

TEST_CASE("A sheet without a line is refused, and nothing but slips saves nothing") {
    Cast cast;
    const auto empty = cast.newcomers.send(sheet_form(cast.newcomers, "/way/sheet", "# only this\n"));
    CHECK(empty.status == 400);
    CHECK(has(empty.body, "There is no line to take in"));
    const auto slips = cast.newcomers.send(sheet_form(cast.newcomers, "/way/sheet", "o.1\n"), "do", "save");
    CHECK(slips.status == 400);
    CHECK(has(slips.body, "Nothing was saved. 1 line is left"));
    CHECK_FALSE(has(slips.body, "Saved in part"));
}

TEST_CASE("A mentor types their own column back in, with levels and what was seen") {
    Cast cast;
    const std::string address = cast.bench() + "/sheet";
    CHECK(has(cast.mentors.body(cast.bench()), "Type a sheet of paper back in"));
    const PageForm form = sheet_form(cast.mentors, address, "1.17 2026-01-03 with help, twice\n0.1\n");
    const std::string shown = cast.mentors.send(form).body;
    CHECK(has(shown, "2026-01-03, with help: twice"));
    const auto answer = cast.mentors.send(form, "do", "save");
    CHECK(has(answer.body, "1 line is saved. 1 line is left"));
    cast.everybody_syncs();
    CHECK(cast.state("01.17", cast.newcomer).signed_level() == domain::Level::with_help);
}

TEST_CASE("Nobody types a sheet for a path that they are not on") {
    Cast cast;
    CHECK(cast.officers.get(cast.bench() + "/sheet").status == 404);
    CHECK(cast.officers.get("/way/sheet").status == 404);
}

TEST_CASE("Script typed as a line of a sheet is text") {
    Cast cast;
    const PageForm form = sheet_form(cast.newcomers, "/way/sheet", "<script>alert(1)</script>\n0.3 - <img src=x>\n");
    for (const char* step : {"look", "save"}) {
        const auto answer = cast.newcomers.send(form, "do", step);
        CHECK_FALSE(has(answer.body, "<script>alert"));
        CHECK_FALSE(has(answer.body, "<img src=x"));
        CHECK(has(answer.body, "&lt;script&gt;alert"));
    }
}
