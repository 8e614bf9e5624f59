#include "node/domain/study/poisson_binomial.hpp"

#include <algorithm>
#include <cstddef>

namespace ladderline::domain {
namespace {

// One more trial: `mass` holds the distribution of `trials` trials and has room for one more.
void add_trial(std::vector<double>& mass, std::size_t trials, double chance) {
    mass[trials + 1] = mass[trials] * chance;
    for (std::size_t j = trials; j > 0; --j) mass[j] = mass[j] * (1 - chance) + mass[j - 1] * chance;
    mass[0] *= 1 - chance;
}

}  // namespace

void poisson_binomial_mass(std::span<const double> chances, std::vector<double>& mass) {
    mass.assign(chances.size() + 1, 0.0);
    mass[0] = 1;
    for (std::size_t i = 0; i < chances.size(); ++i) add_trial(mass, i, chances[i]);
}

std::vector<double> poisson_binomial_mass(std::span<const double> chances) {
    std::vector<double> mass;
    poisson_binomial_mass(chances, mass);
    return mass;
}

double upper_tail(std::span<const double> mass, int least) {
    const auto first = static_cast<std::size_t>(std::max(least, 0));
    double sum = 0;
    for (std::size_t j = mass.size(); j-- > first;) sum += mass[j];
    return sum;
}

int points_at_share(std::span<const double> mass, double share) {
    double cumulated = 0;
    for (std::size_t j = 0; j < mass.size(); ++j) {
        cumulated += mass[j];
        if (cumulated >= share) return static_cast<int>(j);
    }
    return static_cast<int>(mass.size()) - 1;
}

double expected_points(std::span<const double> mass) {
    double sum = 0;
    for (std::size_t j = 1; j < mass.size(); ++j) sum += static_cast<double>(j) * mass[j];
    return sum;
}

std::vector<double> pivot_chances(std::span<const double> chances, int mark) {
    const std::size_t n = chances.size();
    std::vector<double> pivots(n, 0.0);
    if (mark < 1 || static_cast<std::size_t>(mark) > n) return pivots;
    const auto needed = static_cast<std::size_t>(mark - 1);

    // prefixes: row g holds the mass of trials 0 .. g-1.
    const std::size_t width = n + 1;
    std::vector<double> prefixes(width * width, 0.0);
    prefixes[0] = 1;
    for (std::size_t g = 0; g + 1 < n; ++g) {
        const double* row = &prefixes[g * width];
        double* next = &prefixes[(g + 1) * width];
        next[0] = row[0] * (1 - chances[g]);
        for (std::size_t j = 1; j <= g + 1; ++j) next[j] = row[j] * (1 - chances[g]) + row[j - 1] * chances[g];
    }

    std::vector<double> suffix(width, 0.0);  // mass of trials g+1 .. n-1
    suffix[0] = 1;
    for (std::size_t g = n; g-- > 0;) {
        const double* prefix = &prefixes[g * width];
        const std::size_t others_behind = n - 1 - g;
        const std::size_t from = needed > others_behind ? needed - others_behind : 0;
        double sum = 0;
        for (std::size_t j = from; j <= std::min(g, needed); ++j) sum += prefix[j] * suffix[needed - j];
        pivots[g] = sum;
        if (g > 0) add_trial(suffix, others_behind, chances[g]);
    }
    return pivots;
}

}  // namespace ladderline::domain
