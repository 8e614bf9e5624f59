// Whole networks. Sizes are for a sanitizer build of a minute or so; LADDERLINE_TEST_SIZE makes them longer, and the
// program `simulate` runs as many as one likes.

#include <doctest/doctest.h>

#include "tests/simulation/campaign.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::simulation;

namespace {

std::string run_seeds(const char* what, std::uint64_t first, std::size_t count, const PlanOptions& options,
                      Counts& counts) {
    for (std::uint64_t seed = first; seed < first + count; ++seed) {
        const Outcome outcome = run_plan(make_plan(seed, options));
        counts.events += outcome.counts.events + outcome.counts.evil;
        counts.forks += outcome.counts.forks;
        if (outcome.wrong.empty()) continue;
        MESSAGE(told(what, first, seed - first + 1, 1));
        return "seed " + std::to_string(seed) + ": " + outcome.wrong;
    }
    MESSAGE(told(what, first, count, 0));
    return {};
}

}  // namespace

TEST_CASE("networks of honest members come to rest and agree, whatever machines and wires do") {
    const auto seeds = static_cast<std::size_t>(24 * test::test_size());
    Counts counts;
    CHECK(run_seeds("honest networks", 10'000, seeds, {}, counts).empty());
    CHECK(counts.events > 20 * seeds);
}

TEST_CASE("networks with liars among their members come to rest and agree on what counts") {
    const auto seeds = static_cast<std::size_t>(16 * test::test_size());
    PlanOptions options;
    options.byzantine = true;
    Counts counts;
    CHECK(run_seeds("networks with liars", 20'000, seeds, options, counts).empty());
    CHECK(counts.forks > 0);
}

TEST_CASE("a seed replays to the last byte") {
    for (const bool byzantine : {false, true}) {
        PlanOptions options;
        options.byzantine = byzantine;
        for (std::uint64_t seed = 30'000; seed < 30'002; ++seed) {
            const Plan plan = make_plan(seed, options);
            CHECK(run_plan(plan).trace == run_plan(plan).trace);
            CHECK(run_plan(plan).trace != run_plan(make_plan(seed + 100, options)).trace);
        }
    }
}

// Seeds that once went wrong, by what was wrong.
TEST_CASE("what was found once stays right") {
    struct Known {
        const char* name;
        std::uint64_t seed;
        bool byzantine;
    };
    constexpr std::size_t ways_to_lie_then = 16;
    for (const Known& known :
         {Known{"a word of having left that one device alone knows ends every conversation", 1136, false},
          Known{"two calendars open and close a household's key for ever", 5003, true},
          Known{"a lost device whose certificate is void is no longer lost", 3000260, true},
          Known{"put back to an old copy, and news that fits nowhere ends every conversation", 3000520, true},
          Known{"who built on a word beyond a fork brings key after key, and none counts", 2011980, false},
          Known{"let in again, and nobody talks with them", 96, false},
          Known{"who cannot read of a removal is asked who is in the circle", 2000911, false},
          Known{"a store is opened when its disk is about to fail", 1207, false},
          Known{"a grant of a known circle ends every conversation", 152, false},
          Known{"removed before, in the order of the fold, the admission that stands", 3027038, true},
          Known{"a word in one circle takes the place of one in another", 3022695, true},
          Known{"let in again by two people, whose welcomes push each other out", 3022113, true},
          Known{"told of two circles one after the other, a round each", 3031926, true},
          Known{"asked for a key before it knew whom it may give it to", 3025750, true},
          Known{"waits for a key that never comes, beside a courier that lies of what it holds", 3038466, true},
          Known{"two branches of a fork make two digests", 1004, true},
          Known{"a fork at the first event has an author on some nodes", 1043, true},
          Known{"a question for keys of a circle that is over ends every conversation", 2193, true}}) {
        CAPTURE(known.name);
        PlanOptions options;
        options.byzantine = known.byzantine;
        options.ways_to_lie = ways_to_lie_then;
        options.takes_back = false;  // nobody did then
        const Outcome outcome = run_plan(make_plan(known.seed, options));
        CHECK_MESSAGE(outcome.wrong.empty(), outcome.wrong);
    }
}
