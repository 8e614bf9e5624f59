// A small club for some days: that everything arrives, what it costs, and that the byte model says what the production
// objects do.

#include <doctest/doctest.h>

#include "tests/scale/real_visits.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::scale;

namespace {

// Many come and go, and lines are bad, so that everything happens within days.
Plan small_club() {
    Plan plan;
    plan.members = 24;
    plan.seed = 3;
    plan.days = 6 * static_cast<std::uint32_t>(test::test_size());
    plan.talk = 2;
    plan.assumed.going_month = 0.4;
    plan.assumed.up_days_mean = 2;
    plan.assumed.cut_calls = 500;
    return plan;
}

// One run for all tests, with the production objects beside it.
struct Run {
    Club club{small_club()};
    RealVisits real{club, 3, 100};

    Run() {
        club.set_witness(&real);
        club.run();
    }
};
const Run& run() {
    static const Run one;
    return one;
}

std::uint64_t off(const Agreement& a) {
    return std::max(a.real_bytes, a.modelled_bytes) - std::min(a.real_bytes, a.modelled_bytes);
}

}  // namespace

TEST_CASE("after the last fault everybody holds everything within three pauses") {
    const Figures& figures = run().club.figures();
    CHECK(figures.failed > 0);
    CHECK(figures.cut > 0);
    CHECK(figures.is_settled);
    const Assumptions& times = small_club().assumed;
    CHECK(figures.settle_s <= 3 * (times.again_s + times.again_spread_s));
}

TEST_CASE("every event has reached every device that was to have it") {
    std::size_t words = 0;
    for (const Circle& circle : run().club.circles()) {
        for (const Log& log : circle.logs) {
            for (const Word& word : log.words) {
                words += 1;
                if (word.got < word.readers) FAIL_CHECK("an event is at " << word.got << " of " << word.readers);
            }
        }
    }
    CHECK(words > 200);
}

TEST_CASE("the production objects end every visit in step, holding what the model says") {
    CHECK(run().real.agreement().at(VisitKind::cursor).visits > 500);
    CHECK(run().real.disagreements() == 0);
}

TEST_CASE("an idle visit costs the modelled bytes exactly") {
    const Agreement& idle = run().real.agreement().at(VisitKind::equal);
    CHECK(idle.visits > 100);
    CHECK(idle.most_bytes_off == 0);
}

TEST_CASE(
    "a visit with a cursor costs the modelled bytes to within eight, and all of them to within one in a thousand") {
    const Agreement& visits = run().real.agreement().at(VisitKind::cursor);
    CHECK(visits.most_bytes_off <= 8);
    CHECK(off(visits) * 1000 <= visits.real_bytes);
}

TEST_CASE("a visit that was cut costs the modelled bytes to within eight") {
    const Agreement& visits = run().real.agreement().at(VisitKind::cut);
    CHECK(visits.visits > 10);
    CHECK(visits.most_bytes_off <= 8);
}

TEST_CASE("visits down the tree cost the modelled bytes to within five in a hundred") {
    const Agreement& visits = run().real.agreement().at(VisitKind::tree);
    CHECK(visits.visits > 10);
    CHECK(off(visits) * 20 <= visits.real_bytes);
}

TEST_CASE("a visit with a cursor keeps to the formula of the goals") {
    const Figures& figures = run().club.figures();
    CHECK(figures.formula_visits > 500);
    CHECK(figures.formula_held == figures.formula_visits);
    CHECK(run().real.worst_formula() > 0.5);
    CHECK(run().real.worst_formula() <= 1);
}

namespace {

// Tells the production side a model that is wrong.
class WrongModel : public Witness {
public:
    explicit WrongModel(RealVisits& real) : real_(real) {}
    void seated(std::uint32_t seat, bool from_start) override { real_.seated(seat, from_start); }
    void wrote(std::uint32_t seat) override { real_.wrote(seat); }
    void visited(std::uint32_t seat, std::uint32_t courier, VisitKind kind, const Bytes2& modelled,
                 const Difference& difference) override {
        const std::uint64_t wrong = kind == VisitKind::cursor ? 20 : 0;
        real_.visited(seat, courier, kind, {modelled.up + wrong, modelled.down}, difference);
    }

private:
    RealVisits& real_;
};

}  // namespace

TEST_CASE("a model that forgets twenty bytes is found out") {
    Plan plan = small_club();
    plan.days = 1;
    Club club(plan);
    RealVisits real(club, 3, 1000);
    WrongModel wrong(real);
    club.set_witness(&wrong);
    club.run();
    const Agreement& visits = real.agreement().at(VisitKind::cursor);
    CHECK(visits.most_bytes_off > 8);
    CHECK(off(visits) * 1000 > visits.real_bytes);
}

TEST_CASE("a club that is larger costs its members no more sessions") {
    Plan plan = small_club();
    plan.days = 4;
    plan.members = 40;
    Club small(plan);
    small.run();
    plan.members = 160;
    Club large(plan);
    large.run();
    const auto visits = [](const Club& club) {
        return static_cast<double>(club.figures().visits) / static_cast<double>(club.figures().people_days);
    };
    CHECK(visits(large) < 2 * visits(small));
}
