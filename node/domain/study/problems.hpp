#pragma once
// Problems to work out, made from formulas: numbers from a seed, the answer computed, and wrong choices that each come
// from one named slip. They belong to no pool and say nothing about readiness for an examination.

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace ladderline::domain {

enum class ProblemTopic : std::uint8_t { ohms_law, power, resistors, wavelength, dipole, decibels, prefixes };
inline constexpr int problem_topics = 7;
std::string_view title_of(ProblemTopic topic);

struct ProblemChoice {
    std::string text;  // with its unit
    std::string slip;  // what goes wrong on the way there; empty for the right one
};

struct Problem {
    ProblemTopic topic = ProblemTopic::ohms_law;
    std::string stem;                        // ends with how to round
    std::array<ProblemChoice, 4> choices{};  // as shown; no two within 2 % of one another
    std::uint8_t right_place = 0;
    std::string working;  // shown after the answer
};

// The same seed makes the same problem.
Problem make_problem(ProblemTopic topic, std::uint64_t seed);
Problem make_problem(std::uint64_t seed);

}  // namespace ladderline::domain
