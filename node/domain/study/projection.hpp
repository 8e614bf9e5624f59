#pragma once
// When the chance to pass will reach a target if practice goes on as it has.

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "node/domain/study/memory.hpp"

namespace ladderline::domain {

inline constexpr double pace_window_days = 14;
inline constexpr double pace_history_days_min = 3;
inline constexpr int projection_days_max = 365;
inline constexpr int pace_max = 500;  // answers a day; nobody keeps up more

// Mean answers a day over the last two weeks (or since the first answer, if that is later), days without study
// included. Nothing if there are fewer than three days of history: ask the learner.
std::optional<double> study_pace(std::span<const StudyAnswer> records, double now);

enum class ProjectedOrder : std::uint8_t {
    practice,  // the rule of practice_order.hpp without its last step
    by_gain,   // always the largest gain for an exam on the next day
};

struct ProjectionPlan {
    int mark = 0;     // right answers that pass
    double now = 0;   // the first projected day is now + 1
    double pace = 0;  // showings a day; fractions are carried over
    int days = projection_days_max;
    double target = 0.9;
    bool stop_at_target = true;
    ProjectedOrder order = ProjectedOrder::practice;
};

// Told before each projected day how many of how many are done; false stops. Empty: nobody asks.
using LookAhead = std::function<bool(int done, int of)>;

struct Projection {
    std::vector<double> pass_chances;   // [i]: exam on day now + i + 2, after practice up to day now + i + 1
    std::optional<int> days_to_target;  // 1 = tomorrow; nothing if the target is not reached within plan.days
    bool stopped = false;
};

// At a low pace the chance may rise and fall, so the days are walked through one by one.
Projection project(const StudyMemory& memory, const ProjectionPlan& plan, const LookAhead& goes_on = {});

// The least whole pace whose chance to pass on exam_day reaches plan.target; nothing if pace_max does not, or if the
// exam is too near to practise, or if it was stopped. plan.pace and plan.days are not used.
std::optional<int> least_pace(const StudyMemory& memory, const ProjectionPlan& plan, double exam_day,
                              const LookAhead& goes_on = {});

}  // namespace ladderline::domain
