#include "node/domain/study/memory_step.hpp"

#include <algorithm>
#include <cmath>

namespace ladderline::domain {

double half_life_days(int j) {
    return std::exp2(MemoryConstants::half_life_log2_first + 0.5 * j);
}
double retention_factor(int r) {
    return std::exp2(MemoryConstants::retention_log2_first + 0.5 * r);
}

namespace memory_step {
namespace {

using C = MemoryConstants;

constexpr int cells_per_doubling = 2;

HalfLifeRow log_normal_row(double median_days) {
    HalfLifeRow row{};
    double sum = 0;
    for (int j = 0; j < half_life_cells; ++j) {
        const double z = (std::log(half_life_days(j)) - std::log(median_days)) / C::half_life_spread;
        row[static_cast<std::size_t>(j)] = std::exp(-0.5 * z * z);
        sum += row[static_cast<std::size_t>(j)];
    }
    for (double& weight : row) weight /= sum;
    return row;
}

std::array<double, recall_cells> half_lives_by_sum() {
    std::array<double, recall_cells> days{};
    for (int i = 0; i < recall_cells; ++i) {
        days[static_cast<std::size_t>(i)] = std::exp2(C::half_life_log2_first + C::retention_log2_first + 0.5 * i);
    }
    return days;
}

// The outer neighbour of an end cell is the end cell itself, so no weight is lost.
void diffuse(HalfLifeRow& row) {
    double before = row.front();
    for (std::size_t j = 0; j < row.size(); ++j) {
        const double here = row[j];
        const double after = j + 1 < row.size() ? row[j + 1] : here;
        row[j] = (1 - 2 * C::diffusion) * here + C::diffusion * before + C::diffusion * after;
        before = here;
    }
}

// recall points at the cell of half-life 0 for this row.
double repeat_row(HalfLifeRow& row, const double* recall, Likelihood likelihood) {
    HalfLifeRow out{};
    double recalled_all = 0;
    double forgotten_all = 0;
    constexpr double last = half_life_cells - 1;
    for (std::size_t j = 0; j < row.size(); ++j) {
        const double recalled = recall[j] * likelihood.recalled * row[j];
        const double forgotten = (1 - recall[j]) * likelihood.forgotten * row[j];
        recalled_all += recalled;
        forgotten_all += forgotten;
        out[j] += (1 - C::redraw) * forgotten;

        const double growth = cells_per_doubling * C::growth_doublings * (1 - recall[j]);
        const double target = std::min(static_cast<double>(j) + growth, last);
        const auto cell = static_cast<std::size_t>(target);
        const double share_above = target - static_cast<double>(cell);
        out[cell] += recalled * (1 - share_above);
        out[std::min(cell + 1, row.size() - 1)] += recalled * share_above;
    }
    const HalfLifeRow& fresh = newly_learned();
    for (std::size_t j = 0; j < row.size(); ++j) out[j] += C::redraw * forgotten_all * fresh[j];
    diffuse(out);
    row = out;
    return recalled_all + forgotten_all;
}

}  // namespace

RecallGrid recall_grid(double gap_days) {
    static const std::array<double, recall_cells> half_lives = half_lives_by_sum();
    RecallGrid recall{};
    for (std::size_t i = 0; i < recall.size(); ++i) recall[i] = 1 / (1 + gap_days / half_lives[i]);
    return recall;
}

const HalfLifeRow& newly_learned() {
    static const HalfLifeRow row = log_normal_row(C::new_median_days);
    return row;
}

const HalfLifeRow& known_before() {
    static const HalfLifeRow row = log_normal_row(C::known_median_days);
    return row;
}

Likelihood likelihood_of(Outcome outcome, double guess) {
    switch (outcome) {
        case Outcome::right:
            return {1 - C::slip, guess};
        case Outcome::wrong:
            return {C::slip, 1 - guess};
        case Outcome::dont_know:
            return {C::slip, 1};
        case Outcome::corrected:
            break;
    }
    return {1, 1};
}

RetentionRow repeat(HalfLifeTable& weights, const RecallGrid& recall, Likelihood likelihood) {
    RetentionRow evidence{};
    for (std::size_t r = 0; r < weights.size(); ++r) evidence[r] = repeat_row(weights[r], &recall[r], likelihood);
    return evidence;
}

RetentionRow chances_recalled(const HalfLifeTable& weights, const RecallGrid& recall) {
    RetentionRow chances{};
    for (std::size_t r = 0; r < weights.size(); ++r) {
        double sum = 0;
        for (std::size_t j = 0; j < weights[r].size(); ++j) sum += weights[r][j] * recall[r + j];
        chances[r] = sum;
    }
    return chances;
}

RetentionRow chances_right(const HalfLifeTable& weights, const RecallGrid& recall, double guess) {
    RetentionRow chances{};
    for (std::size_t r = 0; r < weights.size(); ++r) {
        double sum = 0;
        for (std::size_t j = 0; j < weights[r].size(); ++j) {
            sum += weights[r][j] * ((1 - C::slip) * recall[r + j] + guess * (1 - recall[r + j]));
        }
        chances[r] = sum;
    }
    return chances;
}

HalfLifeTable first_look(double knew) {
    HalfLifeTable weights{};
    for (HalfLifeRow& row : weights) {
        for (std::size_t j = 0; j < row.size(); ++j)
            row[j] = knew * known_before()[j] + (1 - knew) * newly_learned()[j];
    }
    return weights;
}

}  // namespace memory_step
}  // namespace ladderline::domain
