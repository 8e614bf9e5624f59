#include "node/domain/study/calibration.hpp"

#include "node/domain/study/poisson_binomial.hpp"

namespace ladderline::domain {
namespace {

double at_most(std::span<const double> mass, int most) {
    double sum = 0;
    for (int j = 0; j <= most; ++j) sum += mass[static_cast<std::size_t>(j)];
    return sum;
}

}  // namespace

Calibration calibrate(std::span<const PaperForecast> papers) {
    Calibration out;
    std::vector<double> pass_chances;
    for (const PaperForecast& paper : papers) {
        out.papers += 1;
        if (paper.points < paper.points_low) {
            out.below += 1;
        } else if (paper.points > paper.points_high) {
            out.above += 1;
        } else {
            out.in_band += 1;
        }
        out.passed += paper.passed ? 1 : 0;
        out.passes_expected += paper.pass_chance;
        out.points_mean += paper.points;
        out.points_expected_mean += paper.points_expected;
        pass_chances.push_back(paper.pass_chance);
    }
    if (papers.empty()) return out;
    out.points_mean /= out.papers;
    out.points_expected_mean /= out.papers;
    const std::vector<double> band(papers.size(), calibration_band_share);
    out.band_chance = at_most(poisson_binomial_mass(band), out.in_band);
    const std::vector<double> passes = poisson_binomial_mass(pass_chances);
    out.few_passes_chance = at_most(passes, out.passed);
    out.many_passes_chance = upper_tail(passes, out.passed);
    return out;
}

}  // namespace ladderline::domain
