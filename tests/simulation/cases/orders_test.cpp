// One set of control events, any order of arrival; and what a plain reading of the rules makes of it.

#include <doctest/doctest.h>

#include "tests/simulation/fold_sets.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::simulation;

namespace {

std::string check_sets(std::uint64_t first, std::uint64_t count, bool plain) {
    for (std::uint64_t seed = first; seed < first + count; ++seed) {
        const std::string wrong = check_fold_set(seed, plain);
        if (!wrong.empty()) return "set " + std::to_string(seed) + ": " + wrong;
    }
    return {};
}

}  // namespace

TEST_CASE("any order of one set of control events gives the same circle") {
    const auto sets = static_cast<std::uint64_t>(3000 * test::test_size());
    CHECK(check_sets(1, sets, false).empty());
    MESSAGE(sets << " sets");
}

TEST_CASE("the fold gives what a plain reading of the rules gives") {
    const auto sets = static_cast<std::uint64_t>(300 * test::test_size());
    CHECK(check_sets(1'000'000, sets, true).empty());
    MESSAGE(sets << " sets");
}
