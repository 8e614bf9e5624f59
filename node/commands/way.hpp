#pragma once
// One newcomer's way as everyone on the path sees it: what is done, what is next, what is waited for.

#include "node/commands/context.hpp"
#include "node/commands/known_dates.hpp"
#include "node/domain/ladder/gates.hpp"
#include "node/domain/ladder/progress.hpp"
#include "node/domain/licence/clocks.hpp"
#include "node/read_models/way_views.hpp"

namespace ladderline::node {

struct WayView {
    CircleView circle;
    PersonView owner;
    std::vector<PersonView> people;  // of the path, the owner too
    domain::States states;
    domain::Group group;
    domain::WayFacts facts;
    domain::KnownDates dates;
    domain::ExamFacts exam;  // its dates are those above; papers that did not pass are not in it
    domain::Progress progress;
    std::vector<domain::DueLine> due;
    std::vector<ContactView> contacts;  // newest first, the last word of each; those that count
    std::vector<ContactView> struck;    // taken out of the log by their authors; newest first
    // What others on the path wrote down as their own side of a contact with the owner; newest first.
    std::vector<ContactView> other_sides;
    std::vector<MeetingView> meetings;
    std::string help_topic;  // asked and not yet settled
    std::optional<Day> help_since;
    std::string call_sign;          // stated with the grant; empty before
    std::optional<WallTime> as_of;  // newest statement in it
};

// `who` empty: the own way.
Result<WayView> way(Context& context, std::string_view who);
Result<WayView> way_of(Context& context, const CircleView& circle);
// Nobody works themselves: where somebody else on the path names the owner's call sign as the station worked, it is
// their own side of that contact.
bool is_other_side(const WayView& way, const protocol::MemberId& by, const std::string& worked);
// Every path this node shares and does not own, by name.
Result<std::vector<WayView>> ways_of_others(Context& context);
// The same of paths that were shared once: the owner of this store has left them, or was taken out.
Result<std::vector<WayView>> ways_gone_from(Context& context);

// A statement that its author had the right to make. Rights that change with the state of other items are judged when
// it is made; what anyone can judge from the statement alone is judged here again, whatever node it came from.
bool stands(const domain::Edition& edition, const WayView& way, const domain::Statement& statement);

}  // namespace ladderline::node
