#include "protocol/crypto/passphrase.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

// The settings stand in a file that others may have changed; work and memory stay within bounds whatever it says.
Fault fault_of(std::uint32_t memory_kib, std::uint32_t passes) {
    test::SeededRandom random(1);
    PassphraseCost cost;
    cost.memory_kib = memory_kib;
    cost.passes = passes;
    const auto key = key_from_passphrase(as_bytes("words"), random.draw<Salt>(), cost);
    REQUIRE_FALSE(key.has_value());
    return key.error().fault();
}

}  // namespace

TEST_CASE("a passphrase is not worked on with more memory or passes than the program allows") {
    CHECK(fault_of(4U * 1024 * 1024 + 1, 1) == Fault::bad_input);
    CHECK(fault_of(8, 17) == Fault::bad_input);
}

TEST_CASE("a passphrase is not worked on with less memory or fewer passes than Argon2 knows") {
    CHECK(fault_of(7, 1) == Fault::bad_input);
    CHECK(fault_of(8, 0) == Fault::bad_input);
}
