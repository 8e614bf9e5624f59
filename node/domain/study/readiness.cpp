#include "node/domain/study/readiness.hpp"

#include <cstddef>

#include "node/domain/study/poisson_binomial.hpp"

namespace ladderline::domain {
namespace {

// The chance of a right answer in every group, split into what depends on the retention factor (seen questions) and
// what depends on the share known beforehand (unseen ones).
class GroupChances {
public:
    GroupChances(const StudyMemory& memory, double exam_day)
        : sizes_(memory.shape().group_sizes),
          seen_sums_(sizes_.size()),
          unseen_(sizes_),
          unseen_chances_(sizes_.size()),
          retention_(memory.retention_weights()),
          known_(known_weights(memory.first_looks())) {
        const StudyShape& shape = memory.shape();
        for (int question = 0; question < shape.question_count(); ++question) {
            if (!memory.seen(question)) continue;
            const auto group = static_cast<std::size_t>(shape.questions[static_cast<std::size_t>(question)].group);
            const RetentionRow chances = memory.chances_right(question, exam_day);
            for (std::size_t r = 0; r < chances.size(); ++r) seen_sums_[group][r] += chances[r];
            unseen_[group] -= 1;
        }
        for (std::size_t group = 0; group < sizes_.size(); ++group) {
            for (int k = 0; k < known_cells; ++k) {
                unseen_chances_[group][static_cast<std::size_t>(k)] =
                    domain::unseen_chance(memory.first_looks(static_cast<int>(group)), k);
            }
        }
    }

    std::size_t groups() const { return sizes_.size(); }
    int size(std::size_t group) const { return sizes_[group]; }
    double unseen_chance(std::size_t group, std::size_t k) const { return unseen_chances_[group][k]; }
    double retention(std::size_t r) const { return retention_[r]; }
    double known(std::size_t k) const { return known_[k]; }

    // The chances of all groups at one node of the common factors.
    void at(std::size_t r, std::size_t k, std::vector<double>& chances) const {
        chances.resize(sizes_.size());
        for (std::size_t group = 0; group < sizes_.size(); ++group) {
            chances[group] = (seen_sums_[group][r] + unseen_[group] * unseen_chances_[group][k]) / sizes_[group];
        }
    }

private:
    std::vector<int> sizes_;
    std::vector<RetentionRow> seen_sums_;
    std::vector<int> unseen_;
    std::vector<KnownRow> unseen_chances_;
    RetentionRow retention_;
    KnownRow known_;
};

// How much the chance to pass grows per unit of a group's chance, averaged over the nodes as the two kinds of question
// need it.
struct PivotMeans {
    RetentionRow by_retention{};  // weight of r times the mean of the pivot over k
    double unseen_part = 0;       // mean of pivot times the chance of an unseen question
};

std::vector<PivotMeans> pivot_means(const GroupChances& groups, int mark) {
    std::vector<PivotMeans> means(groups.groups());
    std::vector<double> chances;
    for (std::size_t r = 0; r < retention_cells; ++r) {
        for (std::size_t k = 0; k < known_cells; ++k) {
            groups.at(r, k, chances);
            const std::vector<double> pivots = pivot_chances(chances, mark);
            const double weight = groups.retention(r) * groups.known(k);
            for (std::size_t group = 0; group < pivots.size(); ++group) {
                means[group].by_retention[r] += weight * pivots[group];
                means[group].unseen_part += weight * pivots[group] * groups.unseen_chance(group, k);
            }
        }
    }
    return means;
}

double weighted(const RetentionRow& weights, const RetentionRow& values) {
    double sum = 0;
    for (std::size_t r = 0; r < values.size(); ++r) sum += weights[r] * values[r];
    return sum;
}

}  // namespace

Readiness readiness(const StudyMemory& memory, int mark, double exam_day) {
    const GroupChances groups(memory, exam_day);
    Readiness result;
    result.mass.assign(groups.groups() + 1, 0.0);
    result.group_means.assign(groups.groups(), 0.0);
    std::vector<double> chances;
    std::vector<double> mass;
    for (std::size_t r = 0; r < retention_cells; ++r) {
        for (std::size_t k = 0; k < known_cells; ++k) {
            groups.at(r, k, chances);
            poisson_binomial_mass(chances, mass);
            const double weight = groups.retention(r) * groups.known(k);
            for (std::size_t j = 0; j < mass.size(); ++j) result.mass[j] += weight * mass[j];
            for (std::size_t group = 0; group < chances.size(); ++group) {
                result.group_means[group] += weight * chances[group];
            }
        }
    }
    result.pass_chance = upper_tail(result.mass, mark);
    result.points_expected = expected_points(result.mass);
    result.points_low = points_at_share(result.mass, 0.05);
    result.points_high = points_at_share(result.mass, 0.95);
    return result;
}

double pass_chance(const StudyMemory& memory, int mark, double exam_day) {
    return readiness(memory, mark, exam_day).pass_chance;
}

std::vector<double> showing_gains(const StudyMemory& memory, int mark, double showing_day, double exam_day) {
    const GroupChances groups(memory, exam_day);
    const std::vector<PivotMeans> pivots = pivot_means(groups, mark);
    const StudyShape& shape = memory.shape();
    std::vector<double> gains(shape.questions.size());
    for (int question = 0; question < shape.question_count(); ++question) {
        const auto group = static_cast<std::size_t>(shape.questions[static_cast<std::size_t>(question)].group);
        RetentionRow change = memory.chances_right_after(question, showing_day, exam_day);
        double before_unseen = pivots[group].unseen_part;
        if (memory.seen(question)) {
            const RetentionRow before = memory.chances_right(question, exam_day);
            for (std::size_t r = 0; r < change.size(); ++r) change[r] -= before[r];
            before_unseen = 0;
        }
        const double sum = weighted(pivots[group].by_retention, change) - before_unseen;
        gains[static_cast<std::size_t>(question)] = sum / groups.size(group);
    }
    return gains;
}

}  // namespace ladderline::domain
