#include "node/domain/meeting/evening.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

TimeSpan span(const char* from, const char* to) {
    return {parse_utc(from).value(), parse_utc(to).value()};
}

WallTime at(const char* iso) {
    return parse_utc(iso).value();
}

// The host has two evenings; Ana both, Ben the second, Cleo only the early hour of the first.
const std::vector<TimeSpan> host{span("2026-03-03T18:00Z", "2026-03-03T21:00Z"),
                                 span("2026-03-05T18:00Z", "2026-03-05T21:00Z")};
const std::vector<TimeSpan> ana{span("2026-03-03T17:00Z", "2026-03-03T22:00Z"),
                                span("2026-03-05T19:00Z", "2026-03-05T20:00Z")};
const std::vector<TimeSpan> ben{span("2026-03-05T18:10Z", "2026-03-05T21:00Z")};
const std::vector<TimeSpan> cleo{span("2026-03-03T18:00Z", "2026-03-03T19:00Z")};

}  // namespace

TEST_CASE("the start that suits most stands first, with whom it does not suit") {
    const std::vector<std::vector<TimeSpan>> others{ana, ben};
    const auto starts = shared_starts(host, others, {}, 30, 5);
    REQUIRE(starts.size() == 2);
    CHECK(starts[0].start == at("2026-03-05T19:00Z"));
    CHECK(starts[0].missing.empty());
    CHECK(starts[1].start == at("2026-03-03T18:00Z"));
    CHECK(starts[1].missing == std::vector<std::size_t>{1});
}

TEST_CASE("among starts that suit as many the earlier one stands first, one an evening") {
    const std::vector<std::vector<TimeSpan>> others{ana, ben, cleo};
    const auto starts = shared_starts(host, others, {}, 30, 5);
    REQUIRE(starts.size() == 2);
    CHECK(starts[0].start == at("2026-03-03T18:00Z"));
    CHECK(starts[0].missing == std::vector<std::size_t>{1});
    CHECK(starts[1].missing == std::vector<std::size_t>{2});
}

TEST_CASE("a taken time and a start that suits nobody are not proposed") {
    const std::vector<std::vector<TimeSpan>> others{cleo};
    const std::vector<TimeSpan> taken{span("2026-03-03T18:15Z", "2026-03-03T18:45Z")};
    CHECK(shared_starts(host, others, taken, 30, 5).empty());
    CHECK(shared_starts(host, others, {}, 30, 5).size() == 1);
}

TEST_CASE("room for the whole length is asked of everybody") {
    const std::vector<std::vector<TimeSpan>> others{cleo};
    CHECK(shared_starts(host, others, {}, 60, 5).size() == 1);
    CHECK(shared_starts(host, others, {}, 61, 5).empty());
}

TEST_CASE("the count asked for is the most that is proposed") {
    const std::vector<std::vector<TimeSpan>> others{ana};
    CHECK(shared_starts(host, others, {}, 30, 1).size() == 1);
    CHECK(shared_starts(host, others, {}, 30, 0).empty());
}
