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
Html meet_form(const Scene& scene, const MeetPlace& place);
// Arranges what was typed; the error's sentence is ready to show and `field` names the row it is about.
struct MeetAnswer {
    std::optional<Done> done;
    Refusal refusal;
};
MeetAnswer arrange_as_typed(const Scene& scene, const std::string& who);
// "made", "nobody" or "moved" of the form.
Result<Done> outcome_as_sent(const Scene& scene, const std::string& who);
// What was last arranged and is over.
Html past_meetings(const Scene& scene, const WayView& way);

}  // namespace ladderline::node::web
