#pragma once
// What one control event says and does: read from its payload, judged by the state that its author knew, carried out.
// Parts of the fold (fold.cpp); nobody else needs them.

#include <variant>

#include "protocol/circle/state.hpp"

namespace ladderline::protocol {

// Empty: the payload makes no sense, a certificate is false, or the kind is unknown here.
using Act = std::variant<std::monostate, FoundBody, AdmitBody, CertifyBody, SetRoleBody, RemoveBody, LeaveBody,
                         RevokeBody, ExtendCutBody, RotateBody, ConsentBody, PaperBoxBody, TakeBackBody>;

// Who does it.
struct Author {
    MemberId member;
    DeviceId device;
};

Act read_act(const ControlEvent& event);

// May `author` do this, as the circle stood in the event's causal past? Not for founding, which has no past.
bool is_allowed(const CircleState& past, const Author& author, const Act& act);
// The admission of somebody who was removed, as the circle stood in its past.
bool is_return(const CircleState& past, const Act& act);
// The member who speaks in a certificate that its own device brings: a device of a present member that is not known
// yet, certified by an event of that very device. Nobody for any other act.
std::optional<MemberId> brings_itself(const CircleState& past, const ControlEvent& event, const Act& act);
// A founding event that makes sense: written by the device it certifies, the founder in a seat that fits the kind.
bool may_found(const ControlEvent& event, const FoundBody& found);

// True if the act needs more than that its author is a member: it hangs on the author's role.
bool needs_role(const CircleState& past, const MemberId& author, const Act& act);
// Of several cuts of one log the one with the smallest place, equal places by the smaller id.
Cuts strictest(const std::vector<Cut>& cuts);

// Acts that were made side by side may meet here: the first in the fold's order stands. Goings, extensions, returns and
// epochs hang on one another and are worked out by the fold.
void carry_out(CircleState& state, const MemberId& author, const Act& act);

}  // namespace ladderline::protocol
