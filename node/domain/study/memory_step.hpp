#pragma once
// The steps of the filter on the weights of one question; used by memory.cpp alone.

#include <array>

#include "node/domain/study/memory.hpp"

namespace ladderline::domain::memory_step {

// Both grids have half a doubling a step, so the chance to recall depends on r + j alone.
inline constexpr int recall_cells = half_life_cells + retention_cells - 1;
using RecallGrid = std::array<double, recall_cells>;

// [r + j] = 1 / (1 + gap / (retention factor r * half-life j)); 1/2 after one half-life. gap_days >= 0.
RecallGrid recall_grid(double gap_days);

// Priors of the half-life after a first look: newly learned, and known before. Each sums to 1.
const HalfLifeRow& newly_learned();
const HalfLifeRow& known_before();

// The likelihood of what was seen, given that the question was recalled or forgotten.
struct Likelihood {
    double recalled = 1;
    double forgotten = 1;
};
Likelihood likelihood_of(Outcome outcome, double guess);

// One repeated showing after the gap of `recall`: growth of what was recalled, new learning of what was forgotten,
// diffusion. Not yet divided by the evidence, which is returned for each retention factor.
RetentionRow repeat(HalfLifeTable& weights, const RecallGrid& recall, Likelihood likelihood);

// Chance of a right answer, and chance to recall, for each retention factor.
RetentionRow chances_right(const HalfLifeTable& weights, const RecallGrid& recall, double guess);
RetentionRow chances_recalled(const HalfLifeTable& weights, const RecallGrid& recall);

// Weights after a first look that found the question known before with this chance.
HalfLifeTable first_look(double knew);

}  // namespace ladderline::domain::memory_step
