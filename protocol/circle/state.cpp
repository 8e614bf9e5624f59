#include "protocol/circle/state.hpp"

namespace ladderline::protocol {

const Member* CircleState::member_of(const DeviceId& device) const {
    const auto certificate = devices.find(device);
    if (certificate == devices.end()) return nullptr;
    const auto member = members.find(certificate->second.member);
    return member == members.end() ? nullptr : &member->second;
}

std::optional<MemberId> CircleState::present_member(const DeviceId& device) const {
    const Member* member = member_of(device);
    if (member == nullptr || member->removed) return std::nullopt;
    return devices.at(device).member;
}

bool CircleState::counts(const DeviceId& author, const LogId& log, std::uint64_t seq) const {
    const Member* member = member_of(author);
    if (member == nullptr) return false;
    if (!member->removed) return true;
    const auto of_member = cuts.find(devices.at(author).member);
    if (of_member == cuts.end()) return false;
    const auto cut = of_member->second.find(log);
    return cut != of_member->second.end() && seq <= cut->second.seq;
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

}  // namespace

Result<void> may_admit(const CircleState& state, const MemberId& by, MemberRole role, bool is_minor) {
    TRY(may_decide(state, by));
    TRY(check_seat(state, role, is_minor));
    return check_minors_order(state, role);
}

Result<void> may_set_role(const CircleState& state, const MemberId& by, const MemberId& member, MemberRole role) {
    TRY(may_decide(state, by));
    const Member* target = present(state, member);
    if (target == nullptr) return Error{Fault::refused, "That person is not in this circle."};
    TRY(check_seat(state, role, target->is_minor));
    if (state.kind != CircleKind::path) return ok();
    if (member == state.founder) return Error{Fault::refused, "The newcomer of a path stays its newcomer."};
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
    const Member* author = present(state, by);
    const Member* target = present(state, member);
    if (author == nullptr || target == nullptr) return Error{Fault::refused, "That person is not in this circle."};
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
    if (is_minors_path(state) && target->role == MemberRole::guardian) {
        return Error{Fault::refused, "This newcomer is under 18: only a guardian can take a guardian off the path."};
    }
    return ok();
}

}  // namespace ladderline::protocol
