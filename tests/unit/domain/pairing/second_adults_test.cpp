#include "node/domain/pairing/second_adults.hpp"

#include <doctest/doctest.h>

using namespace ladderline::domain;

namespace {

// Two newcomers, the first under age; two mentors, each of whom is an adult who may stand beside, too.
struct Case {
    PairingProblem problem;
    SecondAdults adults;

    Case() {
        problem.places = {1, 1};
        problem.candidates = {{{0, 10}, {1, 20}}, {{0, 10}, {1, 20}}};
        adults.places = {1, 1};
        adults.may_be = {{0, 1}, {}};
        adults.adult_of_mentor = {0, 1};
    }
};

}  // namespace

TEST_CASE("a newcomer of age gets no second adult") {
    Case c;
    c.adults.may_be[0].clear();
    const auto out = solve_with_adults(c.problem, c.adults);
    CHECK(out.adult_of == std::vector<std::int32_t>{nobody, nobody});
    CHECK(out.rounds == 1);
}

TEST_CASE("the second adult is somebody else than the mentor") {
    Case c;
    const auto out = solve_with_adults(c.problem, c.adults);
    REQUIRE(out.assignment.mentor_of[0] != nobody);
    CHECK(out.adult_of[0] == 1 - out.assignment.mentor_of[0]);
    CHECK(out.unsettled.empty());
}

TEST_CASE("a pair whose only second adult is its mentor is made with another mentor") {
    Case c;
    c.adults.may_be[0] = {0};
    c.problem.candidates[0] = {{0, 10}, {1, 500}};
    const auto out = solve_with_adults(c.problem, c.adults);
    CHECK(out.assignment.mentor_of == std::vector<std::int32_t>{1, 0});
    CHECK(out.adult_of[0] == 0);
}

TEST_CASE("without any second adult the newcomer stays out, and the other is paired") {
    Case c;
    c.adults.places = {0, 0};
    const auto out = solve_with_adults(c.problem, c.adults);
    CHECK(out.assignment.mentor_of[0] == nobody);
    CHECK(out.assignment.mentor_of[1] == 0);
    CHECK(out.unsettled.empty());
    CHECK(out.rounds == 3);
}

TEST_CASE("what is open after the last round is told, not decided") {
    Case c;
    c.adults.places = {0, 0};
    const auto out = solve_with_adults(c.problem, c.adults, 1);
    CHECK(out.unsettled == std::vector<UnsettledPair>{{0, static_cast<std::uint32_t>(out.assignment.mentor_of[0])}});
}

TEST_CASE("what is left after the pairs struck out is what the answer is the best of") {
    Case c;
    c.adults.may_be[0] = {0};
    c.problem.candidates[0] = {{0, 10}, {1, 500}};
    const auto out = solve_with_adults(c.problem, c.adults);
    CHECK(out.struck_out == std::vector<UnsettledPair>{{0, 0}});
    CHECK(cost_of(out.problem, 0, 0) == -1);
    CHECK(certificate_holds(out.problem, out.assignment));
    CHECK_FALSE(certificate_holds(c.problem, out.assignment));
}

TEST_CASE("one adult stands beside as many as they offer") {
    Case c;
    c.adults.may_be = {{0}, {0}};
    c.adults.adult_of_mentor = {nobody, nobody};
    CHECK(solve_with_adults(c.problem, c.adults).assignment.totals.paired == 1);
    c.adults.places[0] = 2;
    CHECK(solve_with_adults(c.problem, c.adults).adult_of == std::vector<std::int32_t>{0, 0});
}
