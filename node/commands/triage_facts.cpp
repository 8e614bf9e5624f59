#include "node/commands/triage_facts.hpp"

#include <algorithm>

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::size_t stages_max = 100;
constexpr std::ptrdiff_t finished_waits_min = 5;

}  // namespace

StageWaits::StageWaits() : waits_(stages_max) {}

void StageWaits::add(const RowStory& story, Day today) {
    const std::vector<StageRun>& runs = story.runs;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        const auto stage = stage_of(runs[i]);
        if (!stage) continue;
        const bool is_last = i + 1 == runs.size();
        const auto next = is_last ? std::nullopt : stage_of(runs[i + 1]);
        const bool is_finished = !is_last && (!next || *next > *stage);
        const Day end = is_last ? today : runs[i + 1].since_first.value_or(runs[i + 1].said);
        waits_[*stage].push_back({static_cast<double>(std::max(0, days_between(runs[i].began(), end))), is_finished});
    }
}

std::vector<domain::SurvivalCurve> StageWaits::curves() const {
    std::vector<domain::SurvivalCurve> out(stages_max);
    for (std::size_t stage = 0; stage < stages_max; ++stage) {
        const auto finished = std::count_if(waits_[stage].begin(), waits_[stage].end(),
                                            [](const domain::Wait& wait) { return wait.reached; });
        if (finished >= finished_waits_min) out[stage] = domain::SurvivalCurve::of(waits_[stage]);
    }
    return out;
}

domain::TriageFacts triage_facts(const MemberId& newcomer, const ClubRowBody& row, const RowStory& story, Day today) {
    domain::TriageFacts out;
    out.id = to_hex(newcomer.view());
    out.stage = stage_of(row).value_or(stages_max);
    out.days_in_stage = std::max(0, days_between(story.runs.back().began(), today));
    if (row.help_since) out.waiting_days = std::max(0, days_between(*row.help_since, today));
    out.active_days_recent = story.recent_days(today, domain::recent_days).value_or(domain::recent_days);
    out.active_days_before = static_cast<int>(story.days) - out.active_days_recent;
    out.days_in_club = std::max(0, days_between(utc_day(story.first_said), today));
    out.days_before = std::max(0, out.days_in_club - domain::recent_days);
    out.days_since_active = std::max(0, days_between(utc_day(story.last_said), today));
    return out;
}

std::optional<std::size_t> stage_number(const std::string& stage) {
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    if (stage.size() != 2 || !is_digit(stage[0]) || !is_digit(stage[1])) return std::nullopt;
    return static_cast<std::size_t>((stage[0] - '0') * 10 + (stage[1] - '0'));
}
std::optional<std::size_t> stage_of(const ClubRowBody& row) {
    return stage_number(row.stage);
}
std::optional<std::size_t> stage_of(const StageRun& run) {
    return stage_number(run.stage);
}

}  // namespace ladderline::node
