#pragma once
// Who belongs to a circle: a pure function of the set of its control events. No clock, no arrival order, no setting.

#include <map>
#include <optional>
#include <set>

#include "protocol/circle/bodies.hpp"
#include "protocol/circle/event_subset.hpp"

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
    bool left = false;      // removed by themself, and by others only as somebody who had left
    bool seen_off = false;  // left, and removed by somebody else since: no fork of their own log brings them back

    bool operator==(const Member&) const = default;
};

// One epoch key that a standing rotation brought. Which of several to write under: epochs.hpp.
struct Epoch {
    EventId event;
    KeyId key;
    Readers scope = Readers::everyone;
    std::set<MemberId> readers;  // as the rotation's author knew the circle
    int rank = 0;                // of the author's role; the higher goes first
    std::size_t joined = 0;      // control events before the author had that role; the lower goes first
    bool is_stale = false;       // somebody left, lost a device or took back consent, unseen by the rotation
    bool saw_two_adults = false;
    // The household's, by somebody who knew the consent in question and by whose calendar it had ended.
    bool consent_had_ended = false;

    bool operator==(const Epoch&) const = default;
};

struct Consent {
    EventId event;
    MemberId by;
    ConsentBody said;

    bool operator==(const Consent&) const = default;
};

using Cuts = std::map<LogId, Cut>;

// A device that is gone for good, and whose it was.
struct LostDevice {
    MemberId member;
    Cuts cuts;

    bool operator==(const LostDevice&) const = default;
};

struct CircleState {
    CircleKind kind = CircleKind::desk;
    std::string name;
    MemberId founder;
    std::map<MemberId, Member> members;  // removed ones too, marked
    std::map<DeviceId, DeviceCertificate> devices;
    std::map<MemberId, Cuts> cuts;  // of members who are, or once were, removed
    std::map<DeviceId, LostDevice> revoked;
    std::map<MemberId, Cuts> extensions;  // of the cuts of a member and of all their lost devices
    // Of a member who was let in again: the control events that know of it. A log that begins with one of them counts
    // whole; older logs stay cut.
    std::map<MemberId, EventSubset> after_return;
    std::map<MemberId, DhPublic> paper_boxes;
    // Of each log the first event that is still to be shown, as far as its author took anything back.
    std::map<MemberId, std::map<LogId, std::uint64_t>> taken_back;
    std::optional<Consent> consent;  // the one in question on a minor's path; who asks compares its days
    std::vector<Epoch> epochs;       // that no other epoch follows, the one to write under first; none: founding key
    bool founding_key_is_stale = false;  // as Epoch::is_stale, while there is no epoch
    std::vector<EventId> heads;          // what the next event names: heads, and their footing (WIRE.md "Heads")
    std::set<EventId> without_effect;    // kept, but their author had no right, or they made no sense
    std::size_t pending = 0;             // wait for the founding event

    bool operator==(const CircleState&) const = default;

    // False while the founding event has not arrived: nobody is in the circle yet.
    bool is_founded() const { return !members.empty(); }
    const Member* member_of(const DeviceId& device) const;
    // A present member's id for a device of theirs; none for a stranger or a removed member.
    std::optional<MemberId> present_member(const DeviceId& device) const;
    // Up to which event a log counts; none: nothing of it does. `first_ctl`: the ctl of the log's event 0, which tells
    // the logs of somebody who came back from the older ones.
    std::optional<std::uint64_t> counts_until(const DeviceId& author, const LogId& log,
                                              const std::vector<EventId>& first_ctl = {}) const;
    // Cuts with what they were extended by: of somebody who is or was removed; of a lost device. Others have none.
    Cuts cuts_of(const MemberId& member) const;
    Cuts cuts_of(const DeviceId& device) const;
    // From which event on a log is to be shown; 0 for most.
    std::uint64_t shown_from(const DeviceId& author, const LogId& log) const;
    // True if an event of this log position counts.
    bool counts(const DeviceId& author, const LogId& log, std::uint64_t seq,
                const std::vector<EventId>& first_ctl = {}) const;
    // The member with this role that is present, if there is just one or more: the smallest id.
    std::optional<MemberId> first_with(MemberRole role) const;
};

// Of two cuts of one log the longer stays.
void lengthen(Cuts& cuts, const Cut& by);

// The circle's owner (a path's newcomer) is under age.
bool is_minors_path(const CircleState& state);
// A guardian and a second adult, two different people, are present.
bool has_two_adults(const CircleState& state);

// May `by` do this as the circle stands? The reason against stands in the error, as a sentence.
// A minor's path takes in the guardian first, then the second adult, then anyone else; it keeps both adults as long as
// there is a mentor. Only a guardian takes a guardian off it or, once there is one, says who else is one. A path stays
// its newcomer's.
Result<void> may_admit(const CircleState& state, const MemberId& by, MemberRole role, bool is_minor = false);
Result<void> may_set_role(const CircleState& state, const MemberId& by, const MemberId& member, MemberRole role);
// Somebody present; and, once, somebody who has left.
Result<void> may_remove(const CircleState& state, const MemberId& by, const MemberId& member);
// The same rights over one device; a device does not speak for its own end.
Result<void> may_revoke(const CircleState& state, const DeviceId& by, const DeviceId& device);
// About somebody who is gone or lost a device.
Result<void> may_extend(const CircleState& state, const MemberId& by, const MemberId& member);
// Guardians, on a minor's path.
Result<void> may_consent(const CircleState& state, const MemberId& by);

// The state that follows from a set of control events, whatever their order here.
//   founding   the event whose id names the circle; no other can found it, and without it all others are pending
//   past       of an event: what its `ctl` links and the control events before it in its own log build on, and the
//              founding event. A link that is not here is passed over: it holds nothing up.
//   rights     are judged in the past: by the state that follows from exactly those events
//   device     certified by an event of a device its member has already, or by its own: the member's identity
//              signed for it, and that is all that is left to somebody who lost every device
//   removal    takes effect even if its author is removed side by side with it. It voids what the removed member did
//              beyond the cut, unseen by the remover, and all that rests on it (members let in, roles given). A removal
//              is void too if its author was removed, unless the two lists of removals hit one another: then all stand.
//   return     somebody removed is present again by an admission that has all their standing removals in its past. An
//              extension of a cut counts on the same condition; it brings back what was said, never acts
//   device     a revoked device stays revoked; all of a removal's rules hold for its acts
//   order      of effects: causal, ties by smallest id; decides only between acts made side by side
CircleState fold_control(const CircleId& circle, const std::vector<ControlEvent>& events);

}  // namespace ladderline::protocol
