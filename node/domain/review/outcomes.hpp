#pragma once
// How many got to a milestone and how many left first: two ends that shut each other out. Somebody who left is not
// "still on the way", so nobody's leaving may be counted as a wait that goes on.
// Source: Aalen & Johansen, Scand. J. Stat. 5 (1978).

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace ladderline::domain {

enum class End : std::uint8_t { open, reached, left };

struct Outcome {
    double days = 0;  // >= 0, finite
    End end = End::open;
};

// One day on which somebody got there or left.
struct OutcomeStep {
    double days = 0;
    std::size_t at_risk = 0;
    std::array<std::size_t, 2> ends{};  // reached, left
    double still_before = 1;            // share without an end just before
    double still = 1;                   // and just after
    std::array<double, 2> share{};      // reached, left, by then; still + both = 1
};

class OutcomeCurves {
public:
    // O(n log n). Precondition: all days finite and >= 0.
    static OutcomeCurves of(std::span<const Outcome> outcomes);

    const std::vector<OutcomeStep>& steps() const { return steps_; }
    std::size_t persons() const { return persons_; }
    double still_at(double days) const;
    // Share that has come to that end by then; `end` is reached or left.
    double share_at(End end, double days) const;

private:
    const OutcomeStep* step_at(double days) const;

    std::vector<OutcomeStep> steps_;
    std::size_t persons_ = 0;
};

}  // namespace ladderline::domain
