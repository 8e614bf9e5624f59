#include "protocol/circle/acts.hpp"

#include <algorithm>
#include <limits>

#include "protocol/circle/epochs.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::protocol {
namespace {

template <class T>
Act read_as(const Bytes& payload) {
    auto body = codec::decode<T>(payload);
    if (!body) return {};
    return std::move(body).value();
}

bool is_whole(const FoundBody& found) {
    return found.level <= level_max;
}
bool is_whole(const SetRoleBody& set) {
    return set.level <= level_max;
}
bool is_whole(const AdmitBody& admit) {
    if (admit.level > level_max || admit.devices.empty()) return false;
    return std::all_of(admit.devices.begin(), admit.devices.end(),
                       [&](const DeviceCertificate& device) { return device.member == admit.member; });
}
bool is_whole(const RotateBody& rotate) {
    return !rotate.key.is_zero();
}
bool is_whole(const ConsentBody& consent) {
    return consent.withdrawn || consent.given <= consent.keep_until;
}
bool is_whole(std::monostate) {
    return false;
}
template <class T>
bool is_whole(const T&) {
    return true;
}

// A device belongs to one member for good.
bool is_free(const CircleState& state, const DeviceCertificate& device) {
    const auto known = state.devices.find(device.device);
    return known == state.devices.end() || known->second.member == device.member;
}

bool is_present(const CircleState& state, const MemberId& id) {
    const auto member = state.members.find(id);
    return member != state.members.end() && !member->second.removed;
}

bool is_allowed(const CircleState& past, const Author& author, const AdmitBody& admit) {
    return !is_present(past, admit.member) && may_admit(past, author.member, admit.role, admit.is_minor) &&
           std::all_of(admit.devices.begin(), admit.devices.end(),
                       [&](const DeviceCertificate& device) { return is_free(past, device); });
}

bool is_allowed(const CircleState& past, const Author& author, const CertifyBody& certify) {
    return certify.device.member == author.member && !past.devices.contains(certify.device.device);
}

bool is_allowed(const CircleState& past, const Author& author, const SetRoleBody& set) {
    return may_set_role(past, author.member, set.member, set.role).has_value();
}

bool is_allowed(const CircleState& past, const Author& author, const RemoveBody& remove) {
    return may_remove(past, author.member, remove.member).has_value();
}

bool is_allowed(const CircleState&, const Author&, const LeaveBody&) {
    return true;
}

bool is_allowed(const CircleState& past, const Author& author, const RevokeBody& revoke) {
    return may_revoke(past, author.device, revoke.device).has_value();
}

bool is_allowed(const CircleState& past, const Author& author, const ExtendCutBody& extend) {
    return may_extend(past, author.member, extend.member).has_value();
}

bool is_allowed(const CircleState& past, const Author& author, const RotateBody& rotate) {
    return may_rotate(past, author.member) && (rotate.readers == Readers::everyone || is_minors_path(past)) &&
           rotate.members == digest_of(members_of(past, rotate.readers));
}

bool is_allowed(const CircleState& past, const Author& author, const ConsentBody&) {
    return may_consent(past, author.member).has_value();
}

bool is_allowed(const CircleState&, const Author&, const PaperBoxBody&) {
    return true;
}

bool is_allowed(const CircleState&, const Author&, const TakeBackBody&) {
    return true;
}

void carry_out(CircleState& state, const FoundBody& found) {
    state.kind = found.circle_kind;
    state.name = found.name;
    state.founder = found.device.member;
    state.members[state.founder] = {found.role, found.level, found.founder_name, found.founder_is_minor, false, false};
    state.devices.emplace(found.device.device, found.device);
}

void carry_out(CircleState& state, const AdmitBody& admit) {
    state.members.try_emplace(admit.member, Member{admit.role, admit.level, admit.name, admit.is_minor, false, false});
    for (const DeviceCertificate& device : admit.devices) state.devices.emplace(device.device, device);
}

void carry_out(CircleState& state, const CertifyBody& certify) {
    state.devices.emplace(certify.device.device, certify.device);
}

void carry_out(CircleState& state, const SetRoleBody& set) {
    const auto member = state.members.find(set.member);
    if (member == state.members.end()) return;
    member->second.role = set.role;
    member->second.level = set.level;
}

bool is_genuine_in(const Act& act) {
    if (const auto* found = std::get_if<FoundBody>(&act)) return is_genuine(found->device);
    if (const auto* certify = std::get_if<CertifyBody>(&act)) return is_genuine(certify->device);
    const auto* admit = std::get_if<AdmitBody>(&act);
    return admit == nullptr || std::all_of(admit->devices.begin(), admit->devices.end(), is_genuine);
}

Act decode_act(std::uint16_t number, const Bytes& payload) {
    switch (number) {
        case kind::found:
            return read_as<FoundBody>(payload);
        case kind::admit:
            return read_as<AdmitBody>(payload);
        case kind::certify:
            return read_as<CertifyBody>(payload);
        case kind::set_role:
            return read_as<SetRoleBody>(payload);
        case kind::remove:
            return read_as<RemoveBody>(payload);
        case kind::leave:
            return read_as<LeaveBody>(payload);
        case kind::revoke:
            return read_as<RevokeBody>(payload);
        case kind::extend_cut:
            return read_as<ExtendCutBody>(payload);
        case kind::rotate_key:
            return read_as<RotateBody>(payload);
        case kind::consent:
            return read_as<ConsentBody>(payload);
        case kind::paper_box:
            return read_as<PaperBoxBody>(payload);
        case kind::take_back:
            return read_as<TakeBackBody>(payload);
        default:
            return {};
    }
}

}  // namespace

Cuts strictest(const std::vector<Cut>& cuts) {
    Cuts out;
    for (const Cut& cut : cuts) {
        const auto [at, added] = out.emplace(cut.log, cut);
        if (!added && std::tie(cut.seq, cut.event) < std::tie(at->second.seq, at->second.event)) at->second = cut;
    }
    return out;
}

bool has_genuine_certificates(std::uint16_t kind, const Bytes& payload) {
    return is_genuine_in(decode_act(kind, payload));
}

Act read_act(const ControlEvent& event) {
    Act act = decode_act(event.kind, event.payload);
    const bool whole = event.genuine && std::visit([](const auto& body) { return is_whole(body); }, act);
    return whole ? act : Act{};
}

bool is_allowed(const CircleState& past, const Author& author, const Act& act) {
    return std::visit(
        [&](const auto& body) {
            using T = std::decay_t<decltype(body)>;
            if constexpr (std::is_same_v<T, std::monostate> || std::is_same_v<T, FoundBody>) {
                return false;
            } else {
                return is_allowed(past, author, body);
            }
        },
        act);
}

bool is_return(const CircleState& past, const Act& act) {
    const auto* admit = std::get_if<AdmitBody>(&act);
    return admit != nullptr && past.members.contains(admit->member);
}

std::optional<MemberId> brings_itself(const CircleState& past, const ControlEvent& event, const Act& act) {
    const auto* certify = std::get_if<CertifyBody>(&act);
    if (certify == nullptr || certify->device.device != event.author) return std::nullopt;
    const auto member = past.members.find(certify->device.member);
    if (member == past.members.end() || member->second.removed) return std::nullopt;
    return is_allowed(past, Author{member->first, event.author}, act) ? std::optional(member->first) : std::nullopt;
}

bool may_found(const ControlEvent& event, const FoundBody& found) {
    if (event.seq != 0 || found.device.device != event.author) return false;
    switch (found.circle_kind) {
        case CircleKind::desk:
            return true;
        case CircleKind::path:
            return found.role == MemberRole::newcomer;
        case CircleKind::club:
            return found.role == MemberRole::officer;
    }
    return false;
}

bool needs_role(const CircleState& past, const MemberId& author, const Act& act) {
    if (const auto* remove = std::get_if<RemoveBody>(&act)) return remove->member != author;
    if (const auto* extend = std::get_if<ExtendCutBody>(&act)) return extend->member != author;
    if (const auto* revoke = std::get_if<RevokeBody>(&act)) return past.devices.at(revoke->device).member != author;
    return !std::holds_alternative<CertifyBody>(act) && !std::holds_alternative<LeaveBody>(act) &&
           !std::holds_alternative<PaperBoxBody>(act) && !std::holds_alternative<TakeBackBody>(act);
}

void carry_out(CircleState& state, const MemberId& author, const Act& act) {
    if (const auto* found = std::get_if<FoundBody>(&act)) carry_out(state, *found);
    if (const auto* admit = std::get_if<AdmitBody>(&act)) carry_out(state, *admit);
    if (const auto* certify = std::get_if<CertifyBody>(&act)) carry_out(state, *certify);
    if (const auto* set = std::get_if<SetRoleBody>(&act)) carry_out(state, *set);
    if (const auto* paper = std::get_if<PaperBoxBody>(&act)) state.paper_boxes[author] = paper->box;
    const auto* back = std::get_if<TakeBackBody>(&act);
    if (back == nullptr) return;
    for (const Cut& cut : back->up_to) {
        std::uint64_t& from = state.taken_back[author][cut.log];
        from = std::max(from, cut.seq == std::numeric_limits<std::uint64_t>::max() ? cut.seq : cut.seq + 1);
    }
}

}  // namespace ladderline::protocol
