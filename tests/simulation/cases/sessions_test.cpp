// Sessions with a liar at one end.

#include <doctest/doctest.h>

#include "tests/simulation/campaign.hpp"
#include "tests/simulation/session_fuzz.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::simulation;

TEST_CASE("a session whose peer says changed things ends cleanly, and the next honest one makes both equal") {
    const auto sessions = static_cast<std::uint64_t>(500 * test::test_size());
    std::string wrong;
    std::uint64_t changed = 0;
    std::uint64_t refused = 0;
    std::uint64_t run = 0;
    for (std::uint64_t seed = 1; seed <= sessions && wrong.empty(); ++seed, ++run) {
        const FuzzedSession session = fuzz_session(seed);
        if (!session.wrong.empty()) wrong = "session " + std::to_string(seed) + ": " + session.wrong;
        changed += session.changed;
        refused += session.refused ? 1 : 0;
    }
    CHECK_MESSAGE(wrong.empty(), wrong);
    // Enough got through, and enough was turned away.
    CHECK(changed > sessions);
    CHECK(refused > sessions / 10);
    CHECK(refused < sessions * 9 / 10);
    MESSAGE(told("sessions with a liar", 1, run, wrong.empty() ? 0 : 1), ", ", changed, " changed messages, ", refused,
            " refused");
}
