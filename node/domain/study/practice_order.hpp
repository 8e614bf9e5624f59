#pragma once
// Which question to show next. Ranking by gain toward a far exam day does worse than plain cycling, because one look
// ahead does not see that early showings make later ones worth more; hence a rule in four steps.

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "node/domain/study/memory.hpp"

namespace ladderline::domain {

enum class PracticeReason : std::uint8_t {
    not_seen,  // 1. never shown: the groups in turn, largest gain first
    fading,    // 2. shown, but remembered with less than fading_recall: longest unseen first
    steady,    // 3. the rest: longest unseen first
    last_day,  // 4. the exam is within a day: largest gain first, no question twice that day
};

inline constexpr double fading_recall = 0.8;
inline constexpr int last_day_batch = 10;        // answers after which the gains of the last day are worked out again
inline constexpr double gain_horizon_days = 30;  // looked ahead while no exam day is set

struct PracticeItem {
    int question = 0;
    PracticeReason reason = PracticeReason::not_seen;
    bool operator==(const PracticeItem&) const = default;
};

struct PracticeRequest {
    int mark = 0;  // right answers that pass
    double now = 0;
    std::optional<double> exam_day;
    int count = 1;                 // questions wanted
    std::vector<int> shown_today;  // questions already shown today; left out on the last day
};

// The next questions, at most `count`, no question twice; on the last day at most last_day_batch, then ask again.
std::vector<PracticeItem> practice_order(const StudyMemory& memory, const PracticeRequest& request);

// Steps 1 to 3 alone, whatever the exam day; `gain_day` is the exam that step 1 looks at.
std::vector<PracticeItem> practice_cycle(const StudyMemory& memory, int mark, double now, double gain_day, int count);

struct GroupGain {
    int group = 0;
    int question = 0;            // the one that brings it
    double gain_per_minute = 0;  // of the chance to pass
};

// The best question of every group, largest gain per minute first. minutes[i] > 0 is what question i takes.
std::vector<GroupGain> group_gains(const StudyMemory& memory, std::span<const double> gains,
                                   std::span<const double> minutes);

}  // namespace ladderline::domain
