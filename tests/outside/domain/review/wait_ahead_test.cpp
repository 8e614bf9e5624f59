// What is left of a wait, against R 4.2.2, survival 3.5.3.
#include "node/domain/review/wait_ahead.hpp"

#include <doctest/doctest.h>

#include "tests/outside/domain/review/published_waits.hpp"
#include "tests/support/domain/check_data.hpp"

using namespace ladderline::domain;
using namespace ladderline::test::published;
using ladderline::test::rounds_to;

TEST_CASE("the chance to wait on, with its error and limits, is R's") {
    struct Row {
        const std::vector<Wait>& waits;
        double waited;
        double further;
        double now;
        double share;
        double error;
        double lower;
        double upper;
    };
    const Row rows[] = {
        {maintained, 13, 18, 0.818181818182, 0.6, 0.181659021246, 0.195495866085, 0.852254345762},
        {maintained, 20, 14, 0.715909090909, 0.514285714286, 0.203869277273, 0.117759583917, 0.813248607576},
        {treated, 7, 9, 0.806722689076, 0.777777777778, 0.113855008511, 0.455168386867, 0.922891292202},
        {treated, 10, 13, 0.752941176471, 0.595238095238, 0.161713739519, 0.235056546493, 0.830369835358},
    };
    for (const Row& row : rows) {
        CAPTURE(row.waited);
        const SurvivalCurve curve = SurvivalCurve::of(row.waits);
        CHECK(rounds_to(curve.survival_at(row.waited), row.now, 12));
        const auto ahead = still_waiting(curve, row.waited, row.further);
        REQUIRE(ahead);
        CHECK(rounds_to(ahead->share, row.share, 12));
        CHECK(rounds_to(ahead->standard_error, row.error, 12));
        REQUIRE(ahead->limits);
        CHECK(rounds_to(ahead->limits->lower, row.lower, 12));
        CHECK(rounds_to(ahead->limits->upper, row.upper, 12));
    }
}

TEST_CASE("mean waits within a bound are R's restricted means") {
    CHECK(rounds_to(mean_wait_within(SurvivalCurve::of(treated), 35), 23.287394958, 9));
    CHECK(rounds_to(mean_wait_within(SurvivalCurve::of(maintained), 48), 31.843181818, 9));
}
