#include "node/commands/problems.hpp"

#include <doctest/doctest.h>

#include "tests/support/node/member_fixture.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("a problem is made again from its number") {
    SetClock clock;
    MemberNode ana(clock, 1);
    for (int i = 0; i < 20; ++i) {
        const auto shown = node::next_problem(ana.context);
        const auto again = must(node::problem_again(shown.number));
        CHECK(again.problem.stem == shown.problem.stem);
        CHECK(again.problem.right_place == shown.problem.right_place);
    }
}

TEST_CASE("what is no problem's number is refused") {
    for (const char* number : {"", "1", "T1A01", "ABCDEFGHJK", "\xFF"}) {
        CHECK(must_fail(node::problem_again(number)).fault() == Fault::bad_input);
    }
}
