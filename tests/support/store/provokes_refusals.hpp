#pragma once
// Description of a test that makes the vault turn calls down on purpose; in any other test that is an error
// (refusal_watch.cpp):
//
//     TEST_CASE("..." * doctest::description(provokes_refusals)) {

namespace ladderline::test {

inline constexpr const char* provokes_refusals = "provokes refusals";

}  // namespace ladderline::test
