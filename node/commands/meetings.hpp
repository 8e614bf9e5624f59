#pragma once
// Arranged contacts.

#include "node/commands/way.hpp"
#include "node/domain/meeting/common_times.hpp"

namespace ladderline::node {

// How long one is taken to last, minutes.
inline constexpr std::int32_t meet_minutes = 30;

// Two clocks may differ a little: what is said of a contact up to ten minutes before its start is taken to be of it.
inline bool has_begun(WallTime start, WallTime now) {
    constexpr std::int64_t ahead_ms_max = 10 * 60'000;
    return start.ms <= now.ms + ahead_ms_max;
}

struct MeetRequest {
    std::string who;   // the newcomer whose path it is arranged on; empty: the own path
    std::string with;  // on the own path: with whom; empty: the mentor
    WallTime start;
    std::string first_frequency;   // MHz
    std::string second_frequency;  // may be empty
    std::string mode = "FM";
    std::string fallback;
    std::string words;
};
// With somebody under 18 a guardian is on the path and is named in the answer; what the rule book says against the
// frequencies, or what is not known of them, stands in it too and stops nothing, and so does another contact of whoever
// arranges it at that time, without a name.
Result<Done> meet(Context& context, const MeetRequest& request);
struct Arranged {
    protocol::EventId id;
    std::string with;    // their name
    std::string advice;  // sentences, each after a blank; empty where nothing is to be said
};
Result<Arranged> arrange(Context& context, const MeetRequest& request);
// The same without storing anything: refused or bad_input as meet() would be.
Result<void> check_meeting(Context& context, const WayView& way, const MeetRequest& request);

struct MeetOutcomeRequest {
    std::string who;
    std::string meeting;  // first digits of its id; empty: the latest that has begun and has no outcome, else the next
    protocol::MeetOutcome outcome = protocol::MeetOutcome::made;
};
// bad_input: it has not begun, and is not said to be moved. An outcome ends it for both.
Result<Done> meet_outcome(Context& context, const MeetOutcomeRequest& request);

// An arranged contact by the first digits of its id; empty: the latest one. not_found, or bad_input where several fit.
Result<MeetingView> find_meeting(const WayView& way, std::string_view id);
// The same for one that is arranged again; empty: the latest that has begun or of which was said how it went, else the
// next.
Result<MeetingView> meeting_to_repeat(const WayView& way, std::string_view id, WallTime now);
// Everything of an earlier one but its time. `who` as in MeetRequest.
MeetRequest again(Context& context, const WayView& way, const MeetingView& earlier, const std::string& who);

// When the owner of this store is on the air by what is arranged on their own path and on those they share, and not
// said to be over; in no order.
Result<std::vector<domain::TimeSpan>> own_spans(Context& context);
// Starts in the next two weeks that suit the owner of the way and the other, earliest first, at most `count`, and at
// which the owner of this store has no other contact. Both need weekly times on their cards.
Result<std::vector<WallTime>> propose_times(Context& context, const WayView& way, const PersonView& other,
                                            std::size_t count);
// The same, as the owner (a) and the other (b) see them on their clocks.
Result<std::vector<domain::ProposedStart>> propose_starts_for(Context& context, const WayView& way,
                                                              const PersonView& other, std::size_t count);

// The weekly times on somebody's card; empty without a card.
domain::Availability availability(const PersonView& person);
// The first mentor of the path who is not its owner; null: none.
const PersonView* mentor_on(const WayView& way);
const PersonView* person_on(const WayView& way, const protocol::MemberId& id);
// Who is neither the owner nor whoever looks: the far end of an arranged contact; null if they have left.
const PersonView* other_of(const Context& context, const WayView& way, const MeetingView& meeting);

}  // namespace ladderline::node
