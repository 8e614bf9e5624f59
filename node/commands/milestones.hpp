#pragma once
// What the own log shows of the ladder's milestones. A mark is offered for a tick and nothing more: the tick is its
// owner's word, and once it is said no later change of the log takes it away.

#include "node/commands/contacts.hpp"
#include "node/domain/radio/log_marks.hpp"

namespace ladderline::node {

struct Milestone {
    domain::MarkKind kind = domain::MarkKind::first;
    std::string words;     // "Ten contacts in all"
    std::string known_by;  // how the log shows it; may be empty
    std::string only_you;  // what the log cannot tell and its owner can; may be empty
    ContactView contact;   // the one that reached it
    // The item of the ladder that it is for, where the edition has one.
    const domain::Item* item = nullptr;
    domain::Phase phase = domain::Phase::open;  // of that item
    bool can_be_ticked = false;                 // there is an item, and it stands open
};
std::vector<Milestone> milestones(const Context& context, const WayView& way);

// Ticks the item of a milestone that the log shows, with the contact as evidence, dated to it. not_found: the log does
// not show it.
Result<Done> tick_milestone(Context& context, const std::string& item);

}  // namespace ladderline::node
