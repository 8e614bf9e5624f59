#include "node/read_models/row_story.hpp"

#include <bit>

namespace ladderline::node {
namespace {

constexpr std::int32_t mask_days = 64;

void raise(std::optional<Day>& latest, const std::optional<Day>& day) {
    if (day && (!latest || *latest < *day)) latest = day;
}

}  // namespace

bool RowStory::add(WallTime said, const protocol::ClubRowBody& row) {
    const Day day = utc_day(said);
    if (is_empty()) first_said = said;
    const std::int32_t on = is_empty() ? mask_days : days_between(utc_day(last_said), day);
    if (on > 0) {
        days += 1;
        days_mask = (on < mask_days ? days_mask << on : 0) | 1;
    }
    last_said = said;
    if (runs.empty() || runs.back().stage != row.stage) {
        if (runs.size() == runs_max) return false;
        runs.push_back({row.stage, day, row.stage_since, {}});
    }
    runs.back().since_last = row.stage_since;
    if (row.last_contact && (!contact_first || *row.last_contact < *contact_first)) contact_first = row.last_contact;
    raise(contact_last, row.last_contact);
    raise(help_latest, row.help_since);
    if (!call_sign_since && !row.call_sign.empty()) call_sign_since = day;
    return true;
}

std::optional<int> RowStory::recent_days(Day today, int within) const {
    // Bit i is recent where days_between(last - i, today) < within.
    const std::int32_t bits = within - days_between(utc_day(last_said), today);
    if (bits <= 0) return 0;
    if (bits < mask_days) return std::popcount(days_mask & ((std::uint64_t{1} << bits) - 1));
    if (static_cast<int>(days) == std::popcount(days_mask)) return static_cast<int>(days);
    return std::nullopt;
}

}  // namespace ladderline::node
