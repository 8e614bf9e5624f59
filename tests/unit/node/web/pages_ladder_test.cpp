// The page of the ladder, its edition, and the rules and pools by which this node works.

#include "node/commands/editions.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

PageForm compare_form(const PagesOf& pages) {
    return pages.form("/ladder", "/ladder/compare");
}

}  // namespace

TEST_CASE("The edition in force is named with its size, and every stage and item is there with what it takes") {
    Cast cast;
    const std::string page = cast.newcomers.body("/ladder");
    const domain::Edition& edition = domain::shipped_edition();
    CHECK(has(page, edition.name));
    CHECK(has(page, "20 stages, 268 items"));
    for (const domain::Item& item : edition.items) {
        CAPTURE(domain::to_text(item.id));
        CHECK(has(page, "<span class=\"call\">" + domain::to_text(item.id) + "</span>"));
    }
    CHECK(has(page, "not before the own call sign is in the register"));
}

TEST_CASE("What is offered again is promised, and the rest is said as advice") {
    Cast cast;
    const std::string page = cast.newcomers.body("/ladder");
    CHECK(has(page, "looked at again after a year"));
    CHECK(has(page, "do it again after a year"));
    CHECK(has(page, "do it again with a higher class"));
    CHECK(has(page, "do it anew on each outing"));
    CHECK_FALSE(has(page, "looked at again with a higher class"));
}

TEST_CASE("Rule books stand with the days for which their lines were right and how many were not checked") {
    const auto books = must(node::rule_book_dates());
    REQUIRE(books.size() == domain::shipped_countries().size());
    for (const node::RuleBookDates& book : books) {
        CAPTURE(book.country);
        CHECK(book.lines > 0);
        CHECK(book.oldest <= book.newest);
        CHECK(book.uncertain <= book.lines);
    }
    Cast cast;
    const std::string page = cast.newcomers.body("/ladder");
    CHECK(has(page, books.front().name));
    CHECK(has(page, to_iso(books.front().newest)));
    CHECK(has(page, "Question pools in this store"));
}

TEST_CASE("What a mentor asked for stands there for both of them until it is done") {
    Cast cast;
    must(node::assign(cast.mentor.context, {"Nadia", {"01.03", "01.02"}}));
    cast.everybody_syncs();
    CHECK(has(cast.newcomers.body("/ladder"), "You: 2 asked for"));
    CHECK(has(cast.mentors.body("/ladder"), "<bdi>Nadia</bdi>: 2 asked for"));
    cast.clock.pass_minutes(1);
    tick_item(cast.newcomer, "01.03");
    CHECK(has(cast.newcomers.body("/ladder"), "You: 1 asked for"));
}

TEST_CASE("An officer is told that the club assigns no edition of its own") {
    Cast cast;
    CHECK(has(cast.officers.body("/ladder"), "A club assigns no edition of its own"));
    CHECK_FALSE(has(cast.newcomers.body("/ladder"), "A club assigns no edition of its own"));
    CHECK(has(cast.officers.body("/ladder"), "Nothing is asked for on a path that you see."));
}

TEST_CASE("Another edition is compared item by item and kept nowhere") {
    Cast cast;
    domain::Edition other = domain::shipped_edition();
    other.edition = "2027-1";
    other.items[1].text = "Choose a name <by which> you are called";
    other.items.erase(other.items.begin());
    const auto events = cast.officer.events();
    const auto answer = cast.officers.send_file(compare_form(cast.officers), "-file", domain::to_text(other));
    CHECK(answer.status == 200);
    CHECK(has(answer.body, "2027-1"));
    CHECK(has(answer.body, "Choose a name &lt;by which&gt; you are called"));
    CHECK(has(answer.body, "gone"));
    CHECK(cast.officer.events() == events);
    const auto same =
        cast.officers.send_file(compare_form(cast.officers), "-file", domain::to_text(domain::shipped_edition()));
    CHECK(has(same.body, "Stages and items are the same."));
}

TEST_CASE("A file that is no edition is one sentence with the line, and none at all is one too") {
    Cast cast;
    const auto answer = cast.officers.send_file(compare_form(cast.officers), "-file", "nothing of the kind\n");
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "ine 1"));
    const auto none = cast.officers.send(compare_form(cast.officers));
    CHECK(none.status == 400);
    CHECK(has(none.body, "nothing was compared"));
}
