// One set of control events, any order of arrival; and what a plain reading of the rules makes of it.

#include <doctest/doctest.h>

#include "tests/simulation/campaign.hpp"
#include "tests/simulation/fold_sets.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::simulation;

namespace {

std::string check_sets(const char* what, std::uint64_t first, std::uint64_t count, bool plain) {
    for (std::uint64_t seed = first; seed < first + count; ++seed) {
        const std::string wrong = check_fold_set(seed, plain);
        if (wrong.empty()) continue;
        MESSAGE(told(what, first, seed - first + 1, 1));
        return "set " + std::to_string(seed) + ": " + wrong;
    }
    MESSAGE(told(what, first, count, 0));
    return {};
}

}  // namespace

TEST_CASE("any order of one set of control events gives the same circle") {
    const auto sets = static_cast<std::uint64_t>(3000 * test::test_size());
    CHECK(check_sets("orders of events", 1, sets, false).empty());
}

TEST_CASE("the fold gives what a plain reading of the rules gives") {
    const auto sets = static_cast<std::uint64_t>(300 * test::test_size());
    CHECK(check_sets("plain readings", 1'000'000, sets, true).empty());
}
