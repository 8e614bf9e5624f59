#include "node/domain/ladder/club_row.hpp"

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr int group_min = 5;  // a smaller group gives people away

}  // namespace

ClubRow club_row(const WayFacts& way, const Progress& progress, const RowFacts& facts) {
    ClubRow row;
    row.person = way.owner;
    row.chosen_name = facts.chosen_name;
    if (facts.call_sign_shared) row.call_sign = facts.call_sign;
    row.stage = progress.current_stage;
    row.last_milestone = progress.last_milestone;
    row.last_contact = facts.last_contact;
    row.last_mentor_touch = facts.last_mentor_touch;
    row.mentor = facts.mentor;
    row.help_wanted = facts.help_wanted;
    row.resting = way.resting;
    row.under_18 = way.under_18;
    row.consent_until = facts.consent_until;
    return row;
}

std::string fewer_than_five(int n) {
    ENSURE(n >= 0);
    return n < group_min ? "fewer than five" : std::to_string(n);
}

}  // namespace ladderline::domain
