#include "node/commands/who_ticks.hpp"

#include <algorithm>

namespace ladderline::node {

using namespace protocol;

std::string who_ticks(const Context& context, const WayView& view, const domain::Item& item) {
    const std::string id = domain::to_text(item.id);
    const domain::RoleSet roles = domain::may_tick_roles(context.edition, item);
    // A consent that was taken back or ran out; the tick beside it stands.
    const bool again = item.id == domain::known_item::guardian_agrees &&
                       domain::state_of(view.states, item.id).reached() && view.progress.next &&
                       view.progress.next->item == item.id;
    const std::string who =
        (again ? "Given again by " : "Ticked by ") + domain::to_words(roles) + ", on their own machine";
    if (item.gate != domain::ItemGate::minor) return who + ".";
    const bool is_consent = item.id == domain::known_item::guardian_agrees;
    const MemberRole seat = is_consent ? MemberRole::guardian : MemberRole::second_adult;
    for (const PersonView& p : view.people) {
        if (p.id != context.me.id() || p.id == view.owner.id || !roles.has(to_domain(p.role))) continue;
        const std::string command = is_consent ? "consent \"" + view.owner.name + "\" --until DAY"
                                               : "tick " + id + " --for \"" + view.owner.name + "\"";
        return "You say so: ladderline " + command;
    }
    const bool is_taken =
        std::any_of(view.people.begin(), view.people.end(), [&](const PersonView& p) { return p.role == seat; });
    if (is_taken) return who + ".";
    const std::string person = is_consent ? "guardian" : "second adult";
    if (context.me.id() != view.owner.id)
        return who + ". No " + person + " is on this path yet; the newcomer lets them in.";
    return who + ". No " + person + " is on your path yet: a code of 'ladderline invite path --as " +
           (is_consent ? "guardian" : "second-adult") + "' lets them in; hand it over while 'ladderline run' goes on.";
}

}  // namespace ladderline::node
