#include "protocol/circle/acts.hpp"

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
bool is_whole(const CertifyBody&) {
    return true;
}
bool is_whole(const SetRoleBody& set) {
    return set.level <= level_max;
}
bool is_whole(const RemoveBody&) {
    return true;
}
bool is_whole(const AdmitBody& admit) {
    if (admit.level > level_max || admit.devices.empty()) return false;
    return std::all_of(admit.devices.begin(), admit.devices.end(),
                       [&](const DeviceCertificate& device) { return device.member == admit.member; });
}
bool is_whole(std::monostate) {
    return false;
}

// A device belongs to one member for good.
bool is_free(const CircleState& state, const DeviceCertificate& device) {
    const auto known = state.devices.find(device.device);
    return known == state.devices.end() || known->second.member == device.member;
}

bool is_allowed(const CircleState& past, const MemberId& author, const AdmitBody& admit) {
    return !past.members.contains(admit.member) && may_admit(past, author, admit.role, admit.is_minor) &&
           std::all_of(admit.devices.begin(), admit.devices.end(),
                       [&](const DeviceCertificate& device) { return is_free(past, device); });
}

bool is_allowed(const CircleState& past, const MemberId& author, const CertifyBody& certify) {
    return certify.device.member == author && !past.devices.contains(certify.device.device);
}

bool is_allowed(const CircleState& past, const MemberId& author, const SetRoleBody& set) {
    return may_set_role(past, author, set.member, set.role).has_value();
}

bool is_allowed(const CircleState& past, const MemberId& author, const RemoveBody& remove) {
    return may_remove(past, author, remove.member).has_value();
}

void carry_out(CircleState& state, const FoundBody& found) {
    state.kind = found.circle_kind;
    state.name = found.name;
    state.founder = found.device.member;
    state.members[state.founder] = {found.role, found.level, found.founder_name, found.founder_is_minor, false};
    state.devices.emplace(found.device.device, found.device);
}

void carry_out(CircleState& state, const AdmitBody& admit) {
    state.members.try_emplace(admit.member, Member{admit.role, admit.level, admit.name, admit.is_minor, false});
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

std::map<LogId, Cut> strictest(const std::vector<Cut>& cuts) {
    std::map<LogId, Cut> out;
    for (const Cut& cut : cuts) {
        const auto [at, added] = out.emplace(cut.log, cut);
        if (!added && cut.seq < at->second.seq) at->second = cut;
    }
    return out;
}

// Of several removals the strictest cut counts, log by log; a log that one of them does not name is cut at nothing.
void carry_out(CircleState& state, const RemoveBody& remove) {
    const auto member = state.members.find(remove.member);
    if (member == state.members.end()) return;
    std::map<LogId, Cut> cuts = strictest(remove.cuts);
    if (member->second.removed) {
        std::map<LogId, Cut>& before = state.cuts[remove.member];
        std::erase_if(cuts, [&](const auto& entry) { return !before.contains(entry.first); });
        for (auto& [log, cut] : cuts) {
            // Equal places that name two events: the smaller id, so that the order of the removals is no matter.
            const Cut& other = before.at(log);
            if (std::tie(other.seq, other.event) < std::tie(cut.seq, cut.event)) cut = other;
        }
    }
    member->second.removed = true;
    state.cuts[remove.member] = std::move(cuts);
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
        default:
            return {};
    }
}

}  // namespace

bool has_genuine_certificates(std::uint16_t kind, const Bytes& payload) {
    return is_genuine_in(decode_act(kind, payload));
}

Act read_act(const ControlEvent& event) {
    Act act = decode_act(event.kind, event.payload);
    const bool whole = event.genuine && std::visit([](const auto& body) { return is_whole(body); }, act);
    return whole ? act : Act{};
}

bool is_allowed(const CircleState& past, const MemberId& author, const Act& act) {
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

std::optional<MemberId> brings_itself(const CircleState& past, const ControlEvent& event, const Act& act) {
    const auto* certify = std::get_if<CertifyBody>(&act);
    if (certify == nullptr || certify->device.device != event.author) return std::nullopt;
    const auto member = past.members.find(certify->device.member);
    if (member == past.members.end() || member->second.removed) return std::nullopt;
    return is_allowed(past, member->first, *certify) ? std::optional(member->first) : std::nullopt;
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

bool needs_role(const MemberId& author, const Act& act) {
    if (std::holds_alternative<CertifyBody>(act)) return false;
    const auto* remove = std::get_if<RemoveBody>(&act);
    return remove == nullptr || remove->member != author;
}

void carry_out(CircleState& state, const Act& act) {
    std::visit(
        [&](const auto& body) {
            if constexpr (!std::is_same_v<std::decay_t<decltype(body)>, std::monostate>) carry_out(state, body);
        },
        act);
}

}  // namespace ladderline::protocol
