#include "protocol/circle/state.hpp"

#include <limits>

namespace ladderline::protocol {
namespace {

// Up to which event a log counts: what a cut says of it, and what the cut was extended by. None: no cut names it.
std::optional<std::uint64_t> seq_of(const LogId& log, const Cuts& cuts, const std::map<MemberId, Cuts>& extensions,
                                    const MemberId& member) {
    std::optional<std::uint64_t> out;
    const auto take = [&](const Cuts& from) {
        const auto cut = from.find(log);
        if (cut != from.end()) out = std::max(out.value_or(0), cut->second.seq);
    };
    take(cuts);
    const auto further = extensions.find(member);
    if (further != extensions.end()) take(further->second);
    return out;
}

Cuts extended(Cuts cuts, const std::map<MemberId, Cuts>& extensions, const MemberId& member) {
    const auto further = extensions.find(member);
    if (further != extensions.end()) {
        for (const auto& [log, cut] : further->second) lengthen(cuts, cut);
    }
    return cuts;
}

}  // namespace

void lengthen(Cuts& cuts, const Cut& by) {
    const auto [at, added] = cuts.emplace(by.log, by);
    if (!added && std::tie(at->second.seq, at->second.event) < std::tie(by.seq, by.event)) at->second = by;
}

const Member* CircleState::member_of(const DeviceId& device) const {
    const auto certificate = devices.find(device);
    if (certificate == devices.end()) return nullptr;
    const auto member = members.find(certificate->second.member);
    return member == members.end() ? nullptr : &member->second;
}

std::optional<MemberId> CircleState::present_member(const DeviceId& device) const {
    const Member* member = member_of(device);
    if (member == nullptr || member->removed || revoked.contains(device)) return std::nullopt;
    return devices.at(device).member;
}

std::optional<std::uint64_t> CircleState::counts_until(const DeviceId& author, const LogId& log,
                                                       const std::vector<EventId>& first_ctl) const {
    const Member* member = member_of(author);
    if (member == nullptr) return std::nullopt;
    const MemberId& id = devices.at(author).member;
    std::uint64_t last = std::numeric_limits<std::uint64_t>::max();
    const auto cut_by = [&](const Cuts& named, const MemberId& whose) {
        const auto seq = seq_of(log, named, extensions, whose);
        if (seq) last = std::min(last, *seq);
        return seq.has_value();
    };
    const auto back = after_return.find(id);
    const bool begun_after = back != after_return.end() && !member->removed &&
                             std::any_of(first_ctl.begin(), first_ctl.end(),
                                         [&](const EventId& link) { return back->second.contains(link); });
    const auto of_member = cuts.find(id);
    if (of_member != cuts.end() && !begun_after && !cut_by(of_member->second, id)) return std::nullopt;
    const auto of_device = revoked.find(author);
    if (of_device != revoked.end() && !cut_by(of_device->second.cuts, of_device->second.member)) return std::nullopt;
    return last;
}

Cuts CircleState::cuts_of(const MemberId& member) const {
    const auto found = cuts.find(member);
    return found == cuts.end() ? Cuts() : extended(found->second, extensions, member);
}

Cuts CircleState::cuts_of(const DeviceId& device) const {
    const auto found = revoked.find(device);
    return found == revoked.end() ? Cuts() : extended(found->second.cuts, extensions, found->second.member);
}

std::uint64_t CircleState::shown_from(const DeviceId& author, const LogId& log) const {
    const auto device = devices.find(author);
    if (device == devices.end()) return 0;
    const auto member = taken_back.find(device->second.member);
    if (member == taken_back.end()) return 0;
    const auto from = member->second.find(log);
    return from == member->second.end() ? 0 : from->second;
}

bool CircleState::counts(const DeviceId& author, const LogId& log, std::uint64_t seq,
                         const std::vector<EventId>& first_ctl) const {
    const auto last = counts_until(author, log, first_ctl);
    return last.has_value() && seq <= *last;
}

std::optional<MemberId> CircleState::first_with(MemberRole role) const {
    for (const auto& [id, member] : members) {
        if (member.role == role && !member.removed) return id;
    }
    return std::nullopt;
}

bool is_minors_path(const CircleState& state) {
    const auto founder = state.members.find(state.founder);
    return state.kind == CircleKind::path && founder != state.members.end() && founder->second.is_minor;
}

bool has_two_adults(const CircleState& state) {
    return state.first_with(MemberRole::guardian).has_value() && state.first_with(MemberRole::second_adult).has_value();
}

namespace {

const Member* present(const CircleState& state, const MemberId& id) {
    const auto member = state.members.find(id);
    return member == state.members.end() || member->second.removed ? nullptr : &member->second;
}

// Who decides about the people of this circle: a club's officers; a path's newcomer and guardian; nobody on a desk.
Result<void> may_decide(const CircleState& state, const MemberId& by) {
    const Member* author = present(state, by);
    if (author == nullptr) return Error{Fault::refused, "Only somebody in the circle can let others in."};
    switch (state.kind) {
        case CircleKind::desk:
            return Error{Fault::refused, "A desk holds one person's own devices; nobody else can be let in."};
        case CircleKind::club:
            if (author->role == MemberRole::officer) return ok();
            return Error{Fault::refused, "Only a club officer can let people into the club."};
        case CircleKind::path:
            break;
    }
    if (by == state.founder || author->role == MemberRole::guardian) return ok();
    return Error{Fault::refused, "Only the newcomer, or the guardian, can let people onto this path."};
}

Result<void> check_seat(const CircleState& state, MemberRole role, bool is_minor) {
    if (is_minor && (role == MemberRole::guardian || role == MemberRole::second_adult)) {
        return Error{Fault::refused, "Somebody under 18 joins as a newcomer; this seat is an adult's."};
    }
    if (state.kind != CircleKind::path) return ok();
    if (role == MemberRole::newcomer) {
        return Error{Fault::refused, "A path belongs to one newcomer; there is no second one."};
    }
    if (role == MemberRole::officer) {
        return Error{Fault::refused,
                     "A path has a mentor, a guardian and a second adult; officers belong to the club."};
    }
    return ok();
}

// The order in which a minor's path fills up, for somebody who takes the seat `role` beside those in `others`.
Result<void> check_minors_order(const CircleState& others, MemberRole role) {
    if (!is_minors_path(others) || role == MemberRole::guardian) return ok();
    if (!others.first_with(MemberRole::guardian)) {
        return Error{Fault::refused,
                     "This newcomer is under 18: the guardian joins first, then a second adult, then the mentor."};
    }
    if (role != MemberRole::second_adult && !has_two_adults(others)) {
        return Error{Fault::refused,
                     "This newcomer is under 18: a second adult must join before the mentor, so that no adult is alone "
                     "with a minor."};
    }
    return ok();
}

// While a minor's path has a guardian, who else is one and who is none any more is a guardian's word: whoever talks the
// newcomer into another one would be of the household, and alone with them in the end.
Result<void> check_guardians_word(const CircleState& state, const MemberId& by, bool about_guardian) {
    if (!about_guardian || !is_minors_path(state) || !state.first_with(MemberRole::guardian)) return ok();
    const Member* author = present(state, by);
    if (author != nullptr && author->role == MemberRole::guardian) return ok();
    return Error{Fault::refused,
                 "This newcomer is under 18 and has a guardian: only a guardian lets another one in, or changes a "
                 "guardian's seat."};
}

// Taking somebody out of the circle, and what goes with it.
Result<void> may_decide_about(const CircleState& state, const MemberId& by, const MemberId& member,
                              const Member& target) {
    const Member* author = present(state, by);
    if (author == nullptr) return Error{Fault::refused, "Only somebody in the circle can do that."};
    if (by == member) return ok();
    if (state.kind == CircleKind::club) {
        if (author->role == MemberRole::officer) return ok();
        return Error{Fault::refused, "Only a club officer can take somebody else out of the club."};
    }
    if (member == state.founder)
        return Error{Fault::refused, "A path belongs to its newcomer; nobody else can end it."};
    if (author->role == MemberRole::guardian) return ok();
    if (by != state.founder)
        return Error{Fault::refused, "Only the newcomer, or the guardian, can take people off a path."};
    if (is_minors_path(state) && target.role == MemberRole::guardian) {
        return Error{Fault::refused, "This newcomer is under 18: only a guardian can take a guardian off the path."};
    }
    return ok();
}

}  // namespace

Result<void> may_admit(const CircleState& state, const MemberId& by, MemberRole role, bool is_minor) {
    TRY(may_decide(state, by));
    TRY(check_seat(state, role, is_minor));
    TRY(check_guardians_word(state, by, role == MemberRole::guardian));
    return check_minors_order(state, role);
}

Result<void> may_set_role(const CircleState& state, const MemberId& by, const MemberId& member, MemberRole role) {
    TRY(may_decide(state, by));
    const Member* target = present(state, member);
    if (target == nullptr) return Error{Fault::refused, "That person is not in this circle."};
    TRY(check_seat(state, role, target->is_minor));
    if (state.kind != CircleKind::path) return ok();
    if (member == state.founder) return Error{Fault::refused, "The newcomer of a path stays its newcomer."};
    TRY(check_guardians_word(state, by, role == MemberRole::guardian || target->role == MemberRole::guardian));
    CircleState others = state;
    others.members.erase(member);
    TRY(check_minors_order(others, role));
    others.members[member] = {role, 0, {}, false, false};
    if (is_minors_path(others) && others.first_with(MemberRole::mentor) && !has_two_adults(others)) {
        return Error{
            Fault::refused,
            "This newcomer is under 18 and has a mentor: a guardian and a second adult must stay on the path."};
    }
    return ok();
}

Result<void> may_remove(const CircleState& state, const MemberId& by, const MemberId& member) {
    const auto target = state.members.find(member);
    const bool is_here = target != state.members.end() && !target->second.removed;
    const bool has_just_left = target != state.members.end() && target->second.left && !target->second.seen_off;
    if (!is_here && !has_just_left) return Error{Fault::refused, "That person is not in this circle."};
    return may_decide_about(state, by, member, target->second);
}

Result<void> may_revoke(const CircleState& state, const DeviceId& by, const DeviceId& device) {
    const auto author = state.present_member(by);
    const auto owner = state.present_member(device);
    if (!author) return Error{Fault::refused, "Only somebody in the circle can say that a device is lost."};
    if (!owner) return Error{Fault::refused, "That device is not in this circle, or is gone already."};
    if (by == device) {
        return Error{Fault::refused, "A device cannot report itself lost; use another of yours, or ask an officer."};
    }
    return may_remove(state, *author, *owner);
}

Result<void> may_extend(const CircleState& state, const MemberId& by, const MemberId& member) {
    const auto target = state.members.find(member);
    if (target == state.members.end()) return Error{Fault::refused, "That person was never in this circle."};
    return may_decide_about(state, by, member, target->second);
}

Result<void> may_consent(const CircleState& state, const MemberId& by) {
    if (!is_minors_path(state)) {
        return Error{Fault::refused, "Consent is about the path of somebody under 18; this circle is none."};
    }
    const Member* author = present(state, by);
    if (author != nullptr && author->role == MemberRole::guardian) return ok();
    return Error{Fault::refused, "Only the newcomer's guardian can give or take back this consent."};
}

}  // namespace ladderline::protocol
