#include "node/domain/radio/log_match.hpp"

#include <doctest/doctest.h>

using namespace ladderline::domain;

namespace {

MatchRow row(const char* own, const char* worked, double minute, const char* band = "20m",
             ModeGroup mode = ModeGroup::phone) {
    return {split_call(own).value(), split_call(worked).value(), minute, band, mode};
}

}  // namespace

TEST_CASE("two contacts within the hour are paired each with its own") {
    const std::vector<MatchRow> a{row("QQ1A", "QQ1B", 100), row("QQ1A", "QQ1B", 120)};
    const std::vector<MatchRow> b{row("QQ1B", "QQ1A", 122), row("QQ1B", "QQ1A", 101)};
    CHECK(match_rows(a, b, 0, tolerance_min) == std::vector<RowPair>{{0, 1, 1}, {1, 0, 2}});
}

TEST_CASE("more pairs go before nearer pairs") {
    const std::vector<MatchRow> a{row("QQ1A", "QQ1B", 100), row("QQ1A", "QQ1B", 110)};
    const std::vector<MatchRow> b{row("QQ1B", "QQ1A", 110), row("QQ1B", "QQ1A", 130)};
    CHECK(match_rows(a, b, 0, 25).size() == 2);
    CHECK(match_rows(a, b, 0, 15) == std::vector<RowPair>{{1, 0, 0}});
}

TEST_CASE("another country's prefix on both sides keeps two stations apart, on one side it does not") {
    const std::vector<MatchRow> a{row("QQ1A", "F/QQ1B", 100)};
    CHECK(match_rows(a, {row("QQ1B", "QQ1A", 100)}, 0, tolerance_min).size() == 1);
    CHECK(match_rows(a, {row("G/QQ1B", "QQ1A", 100)}, 0, tolerance_min).empty());
    CHECK(match_rows(a, {row("F/QQ1B/P", "QQ1A", 100)}, 0, tolerance_min).size() == 1);
}

TEST_CASE("what differs in one thing is shown and not confirmed") {
    struct Case {
        MatchRow theirs;
        Differs in;
    };
    const std::vector<MatchRow> a{row("QQ1A", "QQ1B", 100)};
    for (const Case& c :
         {Case{row("QQ1C", "QQ1A", 101), Differs::call}, Case{row("QQ1B", "QQ1A", 101, "40m"), Differs::band},
          Case{row("QQ1B", "QQ1A", 101, "20m", ModeGroup::morse), Differs::mode},
          Case{row("QQ1B", "QQ1A", 900), Differs::time}}) {
        const LogMatch found = match_logs(a, {c.theirs});
        CHECK(found.agreed.empty());
        CHECK(found.near_misses == std::vector<NearMiss>{{0, 0, c.in}});
    }
    CHECK(match_logs(a, {row("QQ1C", "QQ1A", 101, "40m")}).near_misses.empty());
    CHECK(match_logs(a, {row("QQ1B", "QQ1A", 2000)}).near_misses.empty());
}

TEST_CASE("with fewer than five certain rows nothing is said of the clocks") {
    std::vector<MatchRow> a;
    std::vector<MatchRow> b;
    for (int i = 0; i < 5; ++i) {
        CHECK_FALSE(clock_difference(a, b).has_value());
        a.push_back(row("QQ1A", "QQ1B", 5'000.0 * i));
        b.push_back(row("QQ1B", "QQ1A", 5'000.0 * i + 4));
    }
    const auto clocks = clock_difference(a, b);
    REQUIRE(clocks.has_value());
    CHECK(clocks->minutes == doctest::Approx(4));
    CHECK(clocks->counts());
}

TEST_CASE("fifty thousand rows of one band and two stations are matched row for row") {
    std::vector<MatchRow> a;
    std::vector<MatchRow> b;
    for (int i = 0; i < 50'000; ++i) {
        a.push_back(row("QQ1A", "QQ1B", 7.0 * i));
        b.push_back(row("QQ1B", "QQ1A", 7.0 * i + 1));
    }
    const auto pairs = match_rows(a, b, 0, tolerance_min);
    CHECK(pairs.size() == 50'000);
    CHECK(pairs.back() == RowPair{49'999, 49'999, 1});
}
