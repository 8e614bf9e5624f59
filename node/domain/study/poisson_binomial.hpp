#pragma once
// The number of successes in independent trials with different chances (Chen & Liu 1997). Sums of non-negative terms
// only, so that small tails keep their digits; the Fourier method (Hong 2013) loses them.

#include <span>
#include <vector>

namespace ladderline::domain {

// Mass on 0 .. chances.size() successes. Every chance lies in 0 to 1.
std::vector<double> poisson_binomial_mass(std::span<const double> chances);
// The same into a buffer that is used again and again.
void poisson_binomial_mass(std::span<const double> chances, std::vector<double>& mass);

// P(successes >= least).
double upper_tail(std::span<const double> mass, int least);
// Least number of successes whose cumulated mass reaches `share` (0 to 1).
int points_at_share(std::span<const double> mass, double share);
double expected_points(std::span<const double> mass);

// For every trial, the chance that the others give exactly mark-1 successes: how much P(successes >= mark) grows per
// unit of that trial's chance. By prefix and suffix masses, O(n^2) for all trials together, no division.
std::vector<double> pivot_chances(std::span<const double> chances, int mark);

}  // namespace ladderline::domain
