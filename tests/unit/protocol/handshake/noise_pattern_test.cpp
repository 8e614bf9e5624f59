#include "protocol/handshake/noise_pattern.hpp"

#include <doctest/doctest.h>

namespace ladderline::test {
namespace {

using namespace ladderline::protocol;

TEST_CASE("psk modifiers put their token at the front of message 1 or at the end of message N") {
    using enum NoiseToken;
    const auto pattern = noise_pattern("XXpsk0+psk3");
    REQUIRE(pattern.has_value());
    CHECK(pattern->messages == std::vector<std::vector<NoiseToken>>{{psk, e}, {e, ee, s, es}, {s, se, psk}});
    CHECK(pattern->uses_psk);
}

TEST_CASE("a pattern name that is not in the table gives nothing") {
    for (const char* name : {"", "ZZ", "IKpsk", "IKpsk3", "IKpskx", "XXpsk0psk1", "psk0", "XXfallback"}) {
        CAPTURE(name);
        CHECK_FALSE(noise_pattern(name).has_value());
    }
}

}  // namespace
}  // namespace ladderline::test
