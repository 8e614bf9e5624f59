#pragma once
// Arranged contacts, for the newcomer's own pages and for the bench of somebody who helps.

#include "node/commands/meetings.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// Whose path: `who` is empty for the own one, else the newcomer's key.
struct MeetPlace {
    std::string who;
    const WayView& way;
};

// Those without an outcome, with the buttons that say what became of them.
Html arranged_list(const Scene& scene, const MeetPlace& place);
// What was last arranged and is over, each to be set again.
Html past_meetings(const Scene& scene, const MeetPlace& place);
// "We talked", "Nobody heard", "Moved" as buttons that are sent to `action`; before it has begun "Moved" alone.
// `about` says of which contact, to whoever hears the page.
Html outcome_buttons(const Scene& scene, const Url& action, const std::vector<Hidden>& values,
                     const MeetingView& meeting, std::string_view about);
// "made", "nobody" or "moved" of the form.
struct OutcomeSaid : Done {
    protocol::EventId meeting;
};
Result<OutcomeSaid> outcome_as_sent(const Scene& scene, const std::string& who);
// The form that sets it again, with what to say about the outcome on top; for one that was not made.
Url again_address(const std::string& who, const protocol::EventId& meeting, std::uint64_t said);

// --- Arranging (meet_form.cpp)

// What is known beforehand: who has to be there, frequencies, whether it can work. Nothing is stored by it.
Html meet_advice(const Scene& scene, const MeetPlace& place);
Html meet_form(const Scene& scene, const MeetPlace& place);
// Whether the form was asked for with something in it: it came back, or something is to be set again.
bool wants_meet_form(const Scene& scene);
// The proposed time that was chosen, or else the one that was typed.
Result<WallTime> start_as_typed(const Scene& scene, const FormOn& form);
// Arranges what was typed; the error's sentence is ready to show and `field` names the row it is about.
struct MeetAnswer {
    std::optional<Done> done;
    Refusal refusal;
};
MeetAnswer arrange_as_typed(const Scene& scene, const std::string& who);

}  // namespace ladderline::node::web
