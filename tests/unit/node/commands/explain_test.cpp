#include "node/commands/explain.hpp"

#include <doctest/doctest.h>

#include "tests/support/node/member_fixture.hpp"
#include "tests/support/node/practice_pool.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

namespace ladderline {
namespace {

using namespace test;

// A club whose members all have the same pool.
struct Class : Cast {
    Class() {
        for (MemberNode* member : {&officer, &mentor, &newcomer}) {
            must(node::import_pool(member->context, element_2_pool()));
        }
    }
    std::vector<node::Explanation> seen_by_newcomer() {
        everybody_syncs();
        return must(node::explanations(newcomer.context, {}, "T1A01"));
    }
};

TEST_CASE("what a mentor explains in the club is read by the newcomer with the mentor's name") {
    Class c;
    must(node::explain(c.mentor.context, {{}, "T1A01", "Think of a garden hose."}));
    const auto all = c.seen_by_newcomer();
    REQUIRE(all.size() == 1);
    CHECK(all[0].author == "Marten");
    CHECK(all[0].text == "Think of a garden hose.");
}

TEST_CASE("the author's latest explanation stands, and an empty one takes it away") {
    Class c;
    must(node::explain(c.mentor.context, {{}, "T1A01", "First."}));
    c.clock.pass_minutes(1);
    must(node::explain(c.mentor.context, {{}, "T1A01", "Second."}));
    CHECK(c.seen_by_newcomer().at(0).text == "Second.");
    c.clock.pass_minutes(1);
    must(node::explain(c.mentor.context, {{}, "T1A01", ""}));
    CHECK(c.seen_by_newcomer().empty());
}

TEST_CASE("several people may explain one question, the latest first") {
    Class c;
    must(node::explain(c.mentor.context, {{}, "T1A01", "From the mentor."}));
    c.clock.pass_minutes(1);
    must(node::explain(c.officer.context, {{}, "T1A01", "From the officer."}));
    const auto all = c.seen_by_newcomer();
    REQUIRE(all.size() == 2);
    CHECK(all[0].author == "Olga");
    CHECK(all[1].author == "Marten");
}

TEST_CASE("a newcomer explains for themselves, not for the club") {
    Class c;
    const auto before = c.newcomer.events();
    CHECK(must_fail(node::explain(c.newcomer.context, {{}, "T1A01", "Mine.", "club"})).fault() == Fault::refused);
    CHECK(c.newcomer.events() == before);
    must(node::explain(c.newcomer.context, {{}, "T1A01", "Mine.", "desk"}));
    CHECK(must(node::explanations(c.newcomer.context, {}, "T1A01")).at(0).author == "you");
    c.everybody_syncs();
    CHECK(must(node::explanations(c.mentor.context, {}, "T1A01")).empty());
}

TEST_CASE("on a path it is seen by those on the path alone") {
    Class c;
    must(node::explain(c.mentor.context, {{}, "T1A01", "For you, Nadia.", "path", "Nadia"}));
    CHECK(c.seen_by_newcomer().size() == 1);
    CHECK(must(node::explanations(c.officer.context, {}, "T1A01")).empty());
}

TEST_CASE("an explanation of another edition is left out") {
    Class c;
    must(node::explain(c.mentor.context, {{}, "T1A01", "Of these years."}));
    std::string later = element_2_pool();
    later.replace(later.find("2022-2026"), 9, "2026-2030");
    must(node::import_pool(c.newcomer.context, later));
    c.everybody_syncs();
    CHECK(must(node::explanations(c.newcomer.context, {2, 2026}, "T1A01")).empty());
    CHECK(must(node::explanations(c.newcomer.context, {2, 2022}, "T1A01")).size() == 1);
}

TEST_CASE("what cannot be said is refused with one sentence, and nothing is sent") {
    Class c;
    const auto before = c.mentor.events();
    CHECK(must_fail(node::explain(c.mentor.context, {{}, "T9Z99", "Text."})).fault() == Fault::not_found);
    CHECK(must_fail(node::explain(c.mentor.context, {{}, "T1A01", std::string(5000, 'x')})).fault() ==
          Fault::bad_input);
    CHECK(must_fail(node::explain(c.mentor.context, {{}, "T1A01", "\xFF"})).fault() == Fault::bad_input);
    CHECK(must_fail(node::explain(c.mentor.context, {{}, "T1A01", "Text.", "moon"})).fault() == Fault::bad_input);
    CHECK(c.mentor.events() == before);
}

TEST_CASE("a mentor may choose club, path or desk, a newcomer the desk alone") {
    Class c;
    CHECK(must(node::explain_places(c.mentor.context)).size() == 3);
    const auto own = must(node::explain_places(c.newcomer.context));
    REQUIRE(own.size() == 1);
    CHECK(own[0].circle == "desk");
}

}  // namespace
}  // namespace ladderline
