#include "node/domain/study/projection.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "node/domain/study/practice_order.hpp"
#include "node/domain/study/readiness.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr double rounding = 1e-9;  // so that ten times 0.1 makes one showing

void practise_cycle_day(StudyMemory& memory, int mark, double day, int count) {
    for (const PracticeItem& item : practice_cycle(memory, mark, day, day + 1, count)) {
        memory.apply_unknown(item.question, day);
    }
}

void practise_gain_day(StudyMemory& memory, int mark, double day, int count) {
    std::vector<bool> shown(memory.shape().questions.size(), false);
    for (int i = 0; i < count; ++i) {
        const std::vector<double> gains = showing_gains(memory, mark, day, day + 1);
        std::optional<std::size_t> best;
        for (std::size_t question = 0; question < gains.size(); ++question) {
            if (!shown[question] && (!best || gains[question] > gains[*best])) best = question;
        }
        if (!best) return;
        shown[*best] = true;
        memory.apply_unknown(static_cast<int>(*best), day);
    }
}

// Practice day by day at a steady pace, results not known.
class Course {
public:
    Course(StudyMemory memory, int mark, double pace, ProjectedOrder order)
        : memory_(std::move(memory)), mark_(mark), pace_(pace), order_(order) {}

    void practise(double day) {
        carried_ += pace_;
        const double whole = std::floor(carried_ + rounding);
        carried_ -= whole;
        const int count = static_cast<int>(std::min<double>(whole, memory_.shape().question_count()));
        if (count == 0) return;
        if (order_ == ProjectedOrder::by_gain) {
            practise_gain_day(memory_, mark_, day, count);
        } else {
            practise_cycle_day(memory_, mark_, day, count);
        }
    }

    double chance(double exam_day) const { return pass_chance(memory_, mark_, exam_day); }

private:
    StudyMemory memory_;
    int mark_;
    double pace_;
    ProjectedOrder order_;
    double carried_ = 0;
};

}  // namespace

std::optional<double> study_pace(std::span<const StudyAnswer> records, double now) {
    std::optional<double> first;
    for (const StudyAnswer& record : records) {
        if (record.outcome == Outcome::corrected) continue;
        if (!first || record.day < *first) first = record.day;
    }
    if (!first || now - *first < pace_history_days_min) return std::nullopt;
    const double window = std::min(pace_window_days, now - *first);
    const auto answers = std::count_if(records.begin(), records.end(), [&](const StudyAnswer& record) {
        return record.outcome != Outcome::corrected && record.day >= now - window && record.day <= now;
    });
    return static_cast<double>(answers) / window;
}

Projection project(const StudyMemory& memory, const ProjectionPlan& plan, const LookAhead& goes_on) {
    ENSURE(plan.pace >= 0);
    Course course(memory, plan.mark, plan.pace, plan.order);
    Projection result;
    for (int i = 1; i <= plan.days; ++i) {
        if (goes_on && !goes_on(i - 1, plan.days)) {
            result.stopped = true;
            break;
        }
        const double day = plan.now + i;
        course.practise(day);
        result.pass_chances.push_back(course.chance(day + 1));
        if (result.days_to_target || result.pass_chances.back() < plan.target) continue;
        result.days_to_target = i;
        if (plan.stop_at_target) break;
    }
    return result;
}

std::optional<int> least_pace(const StudyMemory& memory, const ProjectionPlan& plan, double exam_day,
                              const LookAhead& goes_on) {
    const int days =
        static_cast<int>(std::floor(std::min<double>(exam_day - plan.now - 1 + rounding, projection_days_max)));
    constexpr int tries_max = 20;  // 0, ten doublings, eight halvings, one neighbour
    int done = 0;
    bool stopped = false;
    const auto reaches = [&](int pace) {
        Course course(memory, plan.mark, pace, plan.order);
        for (int i = 1; i <= days && !stopped; ++i) {
            stopped = goes_on && !goes_on(done++, tries_max * days);
            course.practise(plan.now + i);
        }
        return !stopped && course.chance(exam_day) >= plan.target;
    };
    if (reaches(0)) return 0;
    const int most = std::min(pace_max, memory.shape().question_count());
    if (days < 1) return std::nullopt;
    // Doubled from 1, since low paces are quick to try and most often enough.
    int below = 0;
    int enough = 1;
    while (!stopped && enough < most && !reaches(enough)) {
        below = enough;
        enough = std::min(most, 2 * enough);
    }
    if (stopped || (enough == most && !reaches(most))) return std::nullopt;
    while (!stopped && enough - below > 1) {
        const int middle = below + (enough - below) / 2;
        (reaches(middle) ? enough : below) = middle;
    }
    if (stopped) return std::nullopt;
    // More practice helps up to the discreteness of the order, so a slightly lower pace may do as well.
    const int least = enough >= 2 && reaches(enough - 2) ? enough - 2 : enough;
    if (stopped) return std::nullopt;
    return least;
}

}  // namespace ladderline::domain
