#include "node/domain/study/practice_order.hpp"

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <utility>

#include "node/domain/study/readiness.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

int group_of(const StudyMemory& memory, int question) {
    return memory.shape().questions[static_cast<std::size_t>(question)].group;
}

// Largest gain first; equal gains by lower group, then lower question.
struct LargerGain {
    const StudyMemory& memory;
    const std::vector<double>& gains;

    bool operator()(int a, int b) const {
        const double gain_a = gains[static_cast<std::size_t>(a)];
        const double gain_b = gains[static_cast<std::size_t>(b)];
        if (gain_a != gain_b) return gain_a > gain_b;
        return std::pair(group_of(memory, a), a) < std::pair(group_of(memory, b), b);
    }
};

// Rounds over the groups, largest gain first; in each round one unseen question of every group that has one left. A
// group's seen questions count as its earlier rounds, so that asking for one question at a time goes around as well.
std::vector<int> unseen_in_turn(const StudyMemory& memory, const std::vector<int>& unseen,
                                const std::vector<double>& gains) {
    struct Group {
        std::size_t rounds_done = 0;
        std::vector<int> unseen = {};
    };
    std::vector<Group> groups(static_cast<std::size_t>(memory.shape().group_count()));
    for (int question = 0; question < memory.shape().question_count(); ++question) {
        if (memory.seen(question)) groups[static_cast<std::size_t>(group_of(memory, question))].rounds_done += 1;
    }
    for (const int question : unseen) {
        groups[static_cast<std::size_t>(group_of(memory, question))].unseen.push_back(question);
    }
    std::erase_if(groups, [](const Group& group) { return group.unseen.empty(); });
    std::sort(groups.begin(), groups.end(), [&](const Group& a, const Group& b) {
        return LargerGain{memory, gains}(a.unseen.front(), b.unseen.front());
    });
    std::vector<int> order;
    order.reserve(unseen.size());
    for (std::size_t round = 0; order.size() < unseen.size(); ++round) {
        for (const Group& group : groups) {
            const bool has_one = round >= group.rounds_done && round - group.rounds_done < group.unseen.size();
            if (has_one) order.push_back(group.unseen[round - group.rounds_done]);
        }
    }
    return order;
}

void append(std::vector<PracticeItem>& items, const std::vector<int>& questions, PracticeReason reason, int count) {
    for (const int question : questions) {
        if (static_cast<int>(items.size()) >= count) return;
        items.push_back({question, reason});
    }
}

std::vector<PracticeItem> last_day_order(const StudyMemory& memory, const PracticeRequest& request, double exam_day) {
    const std::vector<double> gains = showing_gains(memory, request.mark, request.now, exam_day);
    std::vector<int> candidates(static_cast<std::size_t>(memory.shape().question_count()));
    std::iota(candidates.begin(), candidates.end(), 0);
    std::erase_if(candidates, [&](int question) {
        return std::find(request.shown_today.begin(), request.shown_today.end(), question) != request.shown_today.end();
    });
    std::sort(candidates.begin(), candidates.end(), LargerGain{memory, gains});
    std::vector<PracticeItem> items;
    append(items, candidates, PracticeReason::last_day, std::min(request.count, last_day_batch));
    return items;
}

}  // namespace

std::vector<PracticeItem> practice_cycle(const StudyMemory& memory, int mark, double now, double gain_day, int count) {
    std::vector<int> unseen;
    std::vector<int> seen;
    for (int question = 0; question < memory.shape().question_count(); ++question) {
        (memory.seen(question) ? seen : unseen).push_back(question);
    }
    std::vector<PracticeItem> items;
    if (!unseen.empty()) {
        const std::vector<double> gains = showing_gains(memory, mark, now, gain_day);
        append(items, unseen_in_turn(memory, unseen, gains), PracticeReason::not_seen, count);
    }
    if (static_cast<int>(items.size()) >= count) return items;

    std::stable_sort(seen.begin(), seen.end(), [&](int a, int b) { return memory.last_day(a) < memory.last_day(b); });
    const auto steady = std::stable_partition(
        seen.begin(), seen.end(), [&](int question) { return memory.recall(question, now) < fading_recall; });
    append(items, {seen.begin(), steady}, PracticeReason::fading, count);
    append(items, {steady, seen.end()}, PracticeReason::steady, count);
    return items;
}

std::vector<PracticeItem> practice_order(const StudyMemory& memory, const PracticeRequest& request) {
    const bool has_exam = request.exam_day && *request.exam_day >= request.now;
    if (has_exam && *request.exam_day - request.now <= 1) return last_day_order(memory, request, *request.exam_day);
    const double gain_day = has_exam ? *request.exam_day : request.now + gain_horizon_days;
    return practice_cycle(memory, request.mark, request.now, gain_day, request.count);
}

std::vector<GroupGain> group_gains(const StudyMemory& memory, std::span<const double> gains,
                                   std::span<const double> minutes) {
    const std::size_t count = memory.shape().questions.size();
    ENSURE(gains.size() == count && minutes.size() == count);
    std::vector<GroupGain> best(memory.shape().group_sizes.size());
    std::vector<bool> filled(best.size(), false);
    for (std::size_t question = 0; question < count; ++question) {
        const int group = group_of(memory, static_cast<int>(question));
        const double rate = gains[question] / minutes[question];
        GroupGain& entry = best[static_cast<std::size_t>(group)];
        if (filled[static_cast<std::size_t>(group)] && rate <= entry.gain_per_minute) continue;
        entry = {group, static_cast<int>(question), rate};
        filled[static_cast<std::size_t>(group)] = true;
    }
    std::stable_sort(best.begin(), best.end(),
                     [](const GroupGain& a, const GroupGain& b) { return a.gain_per_minute > b.gain_per_minute; });
    return best;
}

}  // namespace ladderline::domain
