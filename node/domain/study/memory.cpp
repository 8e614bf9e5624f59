#include "node/domain/study/memory.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "node/domain/study/memory_step.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

using C = MemoryConstants;

double known_share(int k) {
    return (k + 0.5) / known_cells;
}

double pool_chance(int k) {
    return C::guess + (1 - C::slip - C::guess) * known_share(k);
}

RetentionRow retention_log_prior() {
    RetentionRow row{};
    for (int r = 0; r < retention_cells; ++r) {
        const double doublings = std::log2(retention_factor(r));
        row[static_cast<std::size_t>(r)] = -0.5 * doublings * doublings;
    }
    return row;
}

// exp and scale to sum 1; the maximum is taken off first so that nothing underflows as a whole.
template <std::size_t N>
std::array<double, N> weights_of(std::array<double, N> logs) {
    const double top = *std::max_element(logs.begin(), logs.end());
    double sum = 0;
    for (double& value : logs) {
        value = std::exp(value - top);
        sum += value;
    }
    for (double& value : logs) value /= sum;
    return logs;
}

template <std::size_t N>
double mean(const std::array<double, N>& weights, const std::array<double, N>& values) {
    double sum = 0;
    for (std::size_t i = 0; i < N; ++i) sum += weights[i] * values[i];
    return sum;
}

double chance_knew(double known, memory_step::Likelihood likelihood) {
    const double knew = known * likelihood.recalled;
    return knew / (knew + (1 - known) * likelihood.forgotten);
}

double gap_days(double from, double to) {
    return std::max(0.0, to - from);
}

}  // namespace

KnownRow known_weights(FirstLooks pool) {
    KnownRow logs{};
    for (int k = 0; k < known_cells; ++k) {
        const double share = known_share(k);
        const double chance = pool_chance(k);
        logs[static_cast<std::size_t>(k)] = C::known_prior_up * std::log(share) +
                                            C::known_prior_down * std::log(1 - share) + pool.right * std::log(chance) +
                                            (pool.all - pool.right) * std::log(1 - chance);
    }
    return weights_of(logs);
}

double known_mean(FirstLooks pool) {
    KnownRow shares{};
    for (int k = 0; k < known_cells; ++k) shares[static_cast<std::size_t>(k)] = known_share(k);
    return mean(known_weights(pool), shares);
}

double unseen_chance(FirstLooks group, int k) {
    const double chance = (C::group_shrinkage * pool_chance(k) + group.right) / (C::group_shrinkage + group.all);
    return std::clamp(chance, C::guess, 1 - C::slip);
}

double unseen_chance(FirstLooks pool, FirstLooks group) {
    KnownRow chances{};
    for (int k = 0; k < known_cells; ++k) chances[static_cast<std::size_t>(k)] = unseen_chance(group, k);
    return mean(known_weights(pool), chances);
}

StudyMemory::StudyMemory(StudyShape shape)
    : shape_(std::move(shape)),
      questions_(shape_.questions.size()),
      retention_log_(retention_log_prior()),
      group_first_looks_(shape_.group_sizes.size()) {}

StudyMemory StudyMemory::replay(StudyShape shape, std::span<const StudyAnswer> records) {
    std::vector<StudyAnswer> ordered(records.begin(), records.end());
    std::stable_sort(ordered.begin(), ordered.end(),
                     [](const StudyAnswer& a, const StudyAnswer& b) { return a.day < b.day; });
    StudyMemory memory(std::move(shape));
    for (const StudyAnswer& record : ordered) memory.apply(record);
    return memory;
}

void StudyMemory::apply(const StudyAnswer& record) {
    ENSURE(record.question >= 0 && record.question < shape_.question_count());
    if (record.outcome == Outcome::corrected) {
        forget(record.question);
    } else if (seen(record.question)) {
        repeated_showing(record);
    } else {
        first_showing(record);
    }
}

void StudyMemory::forget(int question) {
    mutable_at(question) = QuestionMemory{};
}

double StudyMemory::guess_of(int question) const {
    return 1.0 / shape_.questions[static_cast<std::size_t>(question)].choices;
}

void StudyMemory::first_showing(const StudyAnswer& record) {
    const int group = shape_.questions[static_cast<std::size_t>(record.question)].group;
    const memory_step::Likelihood likelihood = memory_step::likelihood_of(record.outcome, guess_of(record.question));
    QuestionMemory& question = mutable_at(record.question);
    question.seen = true;
    question.last_day = record.day;
    question.weights = memory_step::first_look(chance_knew(known_chance(group), likelihood));

    const int right = record.outcome == Outcome::right ? 1 : 0;
    for (FirstLooks* count : {&first_looks_, &group_first_looks_[static_cast<std::size_t>(group)]}) {
        count->right += right;
        count->all += 1;
    }
}

void StudyMemory::repeated_showing(const StudyAnswer& record) {
    const memory_step::Likelihood likelihood = memory_step::likelihood_of(record.outcome, guess_of(record.question));
    QuestionMemory& question = mutable_at(record.question);
    const auto recall = memory_step::recall_grid(gap_days(question.last_day, record.day));
    const RetentionRow evidence = memory_step::repeat(question.weights, recall, likelihood);
    for (std::size_t r = 0; r < evidence.size(); ++r) {
        for (double& weight : question.weights[r]) weight /= evidence[r];
        retention_log_[r] += std::log(evidence[r]);
    }
    question.last_day = std::max(question.last_day, record.day);
}

void StudyMemory::apply_unknown(int question, double day) {
    QuestionMemory& memory = mutable_at(question);
    if (memory.seen) {
        const auto recall = memory_step::recall_grid(gap_days(memory.last_day, day));
        memory_step::repeat(memory.weights, recall, {1, 1});
        memory.last_day = std::max(memory.last_day, day);
        return;
    }
    const int group = shape_.questions[static_cast<std::size_t>(question)].group;
    memory.seen = true;
    memory.last_day = day;
    memory.weights = memory_step::first_look(known_chance(group));
}

RetentionRow StudyMemory::chances_right(int question, double day) const {
    const QuestionMemory& memory = at(question);
    ENSURE(memory.seen);
    return memory_step::chances_right(memory.weights, memory_step::recall_grid(gap_days(memory.last_day, day)),
                                      guess_of(question));
}

RetentionRow StudyMemory::chances_right_after(int question, double showing_day, double day) const {
    const QuestionMemory& memory = at(question);
    HalfLifeTable weights{};
    if (memory.seen) {
        weights = memory.weights;
        memory_step::repeat(weights, memory_step::recall_grid(gap_days(memory.last_day, showing_day)), {1, 1});
    } else {
        weights = memory_step::first_look(known_chance(shape_.questions[static_cast<std::size_t>(question)].group));
    }
    const double last_day = memory.seen ? std::max(memory.last_day, showing_day) : showing_day;
    return memory_step::chances_right(weights, memory_step::recall_grid(gap_days(last_day, day)), guess_of(question));
}

double StudyMemory::chance_right(int question, double day) const {
    if (!seen(question)) return unseen_chance(shape_.questions[static_cast<std::size_t>(question)].group);
    return mean(retention_weights(), chances_right(question, day));
}

double StudyMemory::recall(int question, double day) const {
    const QuestionMemory& memory = at(question);
    if (!memory.seen) return 0;
    const auto grid = memory_step::recall_grid(gap_days(memory.last_day, day));
    return mean(retention_weights(), memory_step::chances_recalled(memory.weights, grid));
}

RetentionRow StudyMemory::retention_weights() const {
    return weights_of(retention_log_);
}

double StudyMemory::retention_log2_mean() const {
    RetentionRow logs{};
    for (int r = 0; r < retention_cells; ++r) logs[static_cast<std::size_t>(r)] = std::log2(retention_factor(r));
    return mean(retention_weights(), logs);
}

double StudyMemory::unseen_chance(int group) const {
    return domain::unseen_chance(first_looks_, first_looks(group));
}

double StudyMemory::known_chance(int group) const {
    const double share = (unseen_chance(group) - C::guess) / (1 - C::slip - C::guess);
    return std::clamp(share, 0.0, C::known_max);
}

}  // namespace ladderline::domain
