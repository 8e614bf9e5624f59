#pragma once
// What a learner's answers say about what they still know: for every question a distribution over half-lives, for the
// learner one over retention factors and one over the share of the pool that was known beforehand.
//
// Own filter built on published parts: the power law of forgetting (Wickelgren 1974; Wixted & Ebbesen 1991, 1997), a
// hidden half-life per item (Settles & Meeder 2016), guess and slip with a Bayesian update from right and wrong answers
// (Corbett & Anderson 1995), growth that is larger after a longer gap (Cepeda et al. 2006). All hidden quantities lie
// on grids, so every step is a finite sum, and the state is a pure function of the ordered answers.

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "node/domain/study/study_shape.hpp"

namespace ladderline::domain {

// Every constant of the filter. Plausible, not fitted: no record of real learners was to be had.
struct MemoryConstants {
    static constexpr double guess = 1.0 / pool_choices;  // marks the right choice without knowing
    static constexpr double slip = 0.02;                 // knows it, marks a wrong one
    static constexpr double half_life_log2_first = -6;   // grid of half-lives: 2^(-6 + j/2) days, 22.5 min to 1024 d
    static constexpr double retention_log2_first = -2;   // grid of retention factors: 2^(-2 + r/2)
    static constexpr double known_prior_up = 0.2;        // prior of the share known: k^0.2 (1-k)^3.8
    static constexpr double known_prior_down = 3.8;
    static constexpr double known_max = 0.999;
    static constexpr double group_shrinkage = 6;     // pseudo-questions that pull a group toward the pool
    static constexpr double new_median_days = 4;     // half-life after a first look that taught the question
    static constexpr double known_median_days = 60;  // half-life of what was known beforehand
    static constexpr double half_life_spread = 1.2;  // of both, in natural logarithms
    static constexpr double growth_doublings = 2;    // per unit of what had faded when it was recalled
    static constexpr double redraw = 0.5;            // share of a forgotten question that is learned anew
    static constexpr double diffusion = 0.1;         // each way, one grid step, per showing
};

inline constexpr int half_life_cells = 33;
inline constexpr int retention_cells = 9;
inline constexpr int known_cells = 20;

using HalfLifeRow = std::array<double, half_life_cells>;
using HalfLifeTable = std::array<HalfLifeRow, retention_cells>;  // one row per retention factor
using RetentionRow = std::array<double, retention_cells>;
using KnownRow = std::array<double, known_cells>;

enum class Outcome : std::uint8_t {
    right,
    wrong,
    dont_know,  // said so instead of guessing: as wrong, with no chance of a lucky guess
    corrected,  // not an answer: the pool's text changed the right answer, so what was known of the question is void
};

// One answer, or one correction of the pool. A question that was skipped leaves no record.
struct StudyAnswer {
    int question = 0;  // index in the shape
    double day = 0;    // days since any fixed instant
    Outcome outcome = Outcome::right;
};

// Half-life of cell j and retention factor of cell r, in days and as a pure number.
double half_life_days(int j);
double retention_factor(int r);

// First looks at questions: how many were answered rightly, and how many there were.
struct FirstLooks {
    int right = 0;
    int all = 0;
};

// What first looks say about questions not seen yet. `pool` counts those of the whole pool, `group` those of one group.
// Posterior weights of the known shares, each cell standing for (k + 1/2)/20 of the pool known beforehand; sum 1.
KnownRow known_weights(FirstLooks pool);
double known_mean(FirstLooks pool);
// Chance of a right answer to an unseen question of the group if the share is that of cell k, and its mean.
double unseen_chance(FirstLooks group, int k);
double unseen_chance(FirstLooks pool, FirstLooks group);

// What is remembered of one question.
struct QuestionMemory {
    bool seen = false;
    double last_day = 0;      // its last showing
    HalfLifeTable weights{};  // weights[r] sums to 1
};

class StudyMemory {
public:
    explicit StudyMemory(StudyShape shape);

    // The state after all these records. They are sorted by time; those of one instant keep their order.
    static StudyMemory replay(StudyShape shape, std::span<const StudyAnswer> records);

    const StudyShape& shape() const { return shape_; }

    // One more record. A time before the question's last showing (clock set back, records merged from two machines)
    // counts as no time at all.
    void apply(const StudyAnswer& record);
    // A showing whose result is not known yet: the exact mean over both results (law of total probability).
    void apply_unknown(int question, double day);
    // The question counts as never seen; what it taught about the learner stays.
    void forget(int question);

    bool seen(int question) const { return at(question).seen; }
    double last_day(int question) const { return at(question).last_day; }
    const QuestionMemory& at(int question) const { return questions_[static_cast<std::size_t>(question)]; }

    // Chance of a right answer to a seen question for every retention factor. Precondition: seen(question).
    RetentionRow chances_right(int question, double day) const;
    // The same after one more showing, result not known, on showing_day; seen or not.
    RetentionRow chances_right_after(int question, double showing_day, double day) const;
    // Means over what is known of the learner; of an unseen question the group's expected share of right answers.
    double chance_right(int question, double day) const;
    // Mean chance that the question is still remembered; 0 for an unseen one.
    double recall(int question, double day) const;

    // Posterior weights of the retention factors, summing to 1, and the mean of log2 of the factor.
    RetentionRow retention_weights() const;
    double retention_log2_mean() const;

    FirstLooks first_looks() const { return first_looks_; }
    FirstLooks first_looks(int group) const { return group_first_looks_[static_cast<std::size_t>(group)]; }
    // Chance of a right answer to an unseen question of the group, and that such a question is known already.
    double unseen_chance(int group) const;
    double known_chance(int group) const;

private:
    QuestionMemory& mutable_at(int question) { return questions_[static_cast<std::size_t>(question)]; }
    double guess_of(int question) const;
    void first_showing(const StudyAnswer& record);
    void repeated_showing(const StudyAnswer& record);

    StudyShape shape_;
    std::vector<QuestionMemory> questions_;
    RetentionRow retention_log_{};  // log weights, not normalised
    FirstLooks first_looks_;        // over the whole pool
    std::vector<FirstLooks> group_first_looks_;
};

}  // namespace ladderline::domain
