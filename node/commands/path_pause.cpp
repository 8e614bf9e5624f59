#include "node/commands/path_pause.hpp"

#include <algorithm>

#include "node/commands/meeting_ends.hpp"

namespace ladderline::node {
namespace {

using protocol::MemberRole;

constexpr std::string_view what_it_means =
    ": nobody but the household gets news of this way, and no mentor is let in. To go on with a mentor, ";

bool has_seat(const WayView& way, MemberRole role) {
    return std::any_of(way.people.begin(), way.people.end(),
                       [&](const PersonView& p) { return p.role == role && p.id != way.owner.id; });
}

// It was open to a mentor, or somebody counts on it: before that, the next step says what comes first.
bool was_open(const WayView& way) {
    const auto reached = [&](domain::ItemId item) { return domain::state_of(way.states, item).reached(); };
    const bool arranged =
        std::any_of(way.meetings.begin(), way.meetings.end(), [](const MeetingView& m) { return !m.outcome; });
    return has_seat(way, MemberRole::mentor) || arranged ||
           (reached(domain::known_item::guardian_agrees) && reached(domain::known_item::second_adult_named));
}

std::string missing_words(const WayView& way) {
    const std::string means(what_it_means);
    if (!has_seat(way, MemberRole::guardian)) {
        return "There is no guardian on this path" + means + "a guardian is let in and agrees.";
    }
    if (!way.group.guardian_agreed_on) return "The guardian has not agreed yet" + means + "the guardian agrees.";
    return "There is no second adult on this path" + means +
           "somebody who is neither the guardian nor the mentor is let in as second adult.";
}

}  // namespace

std::string consent_over(const WayView& way, Day today) {
    if (!way.owner.is_minor || !domain::state_of(way.states, domain::known_item::guardian_agrees).reached()) return {};
    const std::optional<Day>& until = way.group.consent_until;
    std::string what = "was taken back";
    if (way.group.guardian_agreed_on) {
        if (!until || *until >= today) return {};
        what = "ran until " + to_iso(*until);
    }
    return "The guardian's consent " + what + std::string(what_it_means) + "the guardian gives it again.";
}

std::string consent_now(const WayView& way, Day today) {
    if (const std::string over = consent_over(way, today); !over.empty()) return over;
    if (!way.group.guardian_agreed_on) return "Nobody has agreed yet.";
    const std::optional<Day>& until = way.group.consent_until;
    return until ? "The consent stands until " + to_iso(*until) + "." : "The consent stands.";
}

std::string pause_words(const WayView& way, Day today) {
    std::string why = consent_over(way, today);
    if (why.empty() && was_open(way) && !domain::group_complete(way.group, today)) why = missing_words(way);
    return why.empty() ? why : why + " Contacts with others than the guardian do not take place until then.";
}

bool is_called_off(const WayView& way, const MeetingView& meeting, Day today) {
    const PersonView* helper = helper_of(way, meeting);
    const bool with_guardian = helper != nullptr && helper->role == MemberRole::guardian;
    return !meeting.outcome && !with_guardian && !pause_words(way, today).empty();
}

}  // namespace ladderline::node
