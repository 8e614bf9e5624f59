#pragma once
// Who belongs to a circle: a pure function of the set of its control events. No clock, no arrival order, no setting.

#include <map>
#include <optional>
#include <set>

#include "protocol/circle/bodies.hpp"

namespace ladderline::protocol {

struct ControlEvent {
    EventId id;
    DeviceId author;
    LogId log;
    std::uint64_t seq = 0;
    std::vector<EventId> ctl;
    std::uint16_t kind = 0;
    Bytes payload;
    bool genuine = false;  // what has_genuine_certificates says; asked once, when the event is taken in
};

// True if every device certificate in the payload is signed as it must be; also if there is none.
bool has_genuine_certificates(std::uint16_t kind, const Bytes& payload);

struct Member {
    MemberRole role = MemberRole::newcomer;
    std::uint8_t level = 0;
    std::string name;
    bool is_minor = false;
    bool removed = false;

    bool operator==(const Member&) const = default;
};

struct CircleState {
    CircleKind kind = CircleKind::desk;
    std::string name;
    MemberId founder;
    std::map<MemberId, Member> members;  // removed ones too, marked
    std::map<DeviceId, DeviceCertificate> devices;
    std::map<MemberId, std::map<LogId, Cut>> cuts;  // of removed members
    std::vector<EventId> heads;                     // events with effect that no other such event builds on
    std::set<EventId> without_effect;               // kept, but their author had no right, or they made no sense
    std::size_t pending = 0;                        // wait for a control event that has not arrived

    bool operator==(const CircleState&) const = default;

    // False while the founding event has not arrived: nobody is in the circle yet.
    bool is_founded() const { return !members.empty(); }
    const Member* member_of(const DeviceId& device) const;
    // A present member's id for a device of theirs; none for a stranger or a removed member.
    std::optional<MemberId> present_member(const DeviceId& device) const;
    // True if an event of this log position counts: a member's, and not beyond the cut of a removed member.
    bool counts(const DeviceId& author, const LogId& log, std::uint64_t seq) const;
    // The member with this role that is present, if there is just one or more: the smallest id.
    std::optional<MemberId> first_with(MemberRole role) const;
};

// The circle's owner (a path's newcomer) is under age.
bool is_minors_path(const CircleState& state);
// A guardian and a second adult, two different people, are present.
bool has_two_adults(const CircleState& state);

// May `by` do this as the circle stands? The reason against stands in the error, as a sentence.
// A minor's path takes in the guardian first, then the second adult, then anyone else; it keeps both adults as long as
// there is a mentor, and only a guardian takes a guardian off it. A path stays its newcomer's.
Result<void> may_admit(const CircleState& state, const MemberId& by, MemberRole role, bool is_minor = false);
Result<void> may_set_role(const CircleState& state, const MemberId& by, const MemberId& member, MemberRole role);
Result<void> may_remove(const CircleState& state, const MemberId& by, const MemberId& member);

// The state that follows from a set of control events, whatever their order here.
//   founding   the event whose id names the circle; no other can found it, and without it all others are pending
//   past       of an event: what its `ctl` links and the control events before it in its own log build on, and the
//              founding event. An event with a link that has not arrived is pending and has no effect.
//   rights     are judged in the past: by the state that follows from exactly those events
//   device     certified by an event of a device its member has already, or by its own: the member's identity
//              signed for it, and that is all that is left to somebody who lost every device
//   removal    takes effect even if its author is removed side by side with it. It voids what the removed member did
//              beyond the cut, unseen by the remover, and all that rests on it (members let in, roles given). A removal
//              is void too if its author was removed, unless the two lists of removals hit one another: then all stand.
//   order      of effects: causal, ties by smallest id; decides only between acts made side by side
CircleState fold_control(const CircleId& circle, const std::vector<ControlEvent>& events);

}  // namespace ladderline::protocol
