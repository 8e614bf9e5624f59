#pragma once
// Whether what was foretold of mock papers came out.

#include <span>
#include <vector>

namespace ladderline::domain {

// One paper: what was worked out just before it was marked, and what came of it.
struct PaperForecast {
    double pass_chance = 0;
    double points_expected = 0;
    int points_low = 0;  // of the band that nine papers of ten are to fall in, both ends included
    int points_high = 0;
    int points = 0;
    bool passed = false;
};

inline constexpr int calibration_papers_min = 10;      // fewer tell nothing either way
inline constexpr double calibration_band_share = 0.9;  // of papers, at least, in a right band (points are whole)
inline constexpr double calibration_doubt = 0.05;      // less likely than this is more than bad luck

struct Calibration {
    int papers = 0;
    int in_band = 0;
    int below = 0;
    int above = 0;
    int passed = 0;
    double passes_expected = 0;
    double points_mean = 0;
    double points_expected_mean = 0;
    // If the figures were right: the chance that the band holds at most `in_band` papers, that at most `passed` and
    // that at least `passed` papers are passed. 1 without papers.
    double band_chance = 1;
    double few_passes_chance = 1;
    double many_passes_chance = 1;

    bool is_telling() const { return papers >= calibration_papers_min; }
};

Calibration calibrate(std::span<const PaperForecast> papers);

}  // namespace ladderline::domain
