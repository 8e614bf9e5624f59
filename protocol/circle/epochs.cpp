#include "protocol/circle/epochs.hpp"

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

bool is_household(const CircleState& state, const MemberId& id, const Member& member) {
    return id == state.founder || member.role == MemberRole::guardian || member.role == MemberRole::second_adult;
}

// One key opens one link under another: the nonce follows from the two.
XNonce link_nonce(const KeyId& newer, const KeyId& older) {
    return hash_as<XNonce>("ladderline key link 1", {newer.view(), older.view()});
}

bool has_fewer(const Epoch& a, const Epoch& b) {
    return a.readers.size() < b.readers.size() &&
           std::includes(b.readers.begin(), b.readers.end(), a.readers.begin(), a.readers.end());
}

bool goes_first(const Epoch& a, const Epoch& b) {
    if (a.rank != b.rank) return a.rank > b.rank;
    return std::tie(a.joined, a.event) < std::tie(b.joined, b.event);
}

}  // namespace

bool consent_in_force(const CircleState& state, Day today) {
    if (!state.consent || state.consent->said.withdrawn || state.consent->said.keep_until < today) return false;
    if (std::any_of(state.epochs.begin(), state.epochs.end(), [](const Epoch& e) { return e.consent_had_ended; })) {
        return false;
    }
    const auto by = state.members.find(state.consent->by);
    return by != state.members.end() && !by->second.removed && by->second.role == MemberRole::guardian;
}

Readers readers_on(const CircleState& state, Day today) {
    if (!is_minors_path(state) || (has_two_adults(state) && consent_in_force(state, today))) return Readers::everyone;
    return Readers::household;
}

std::set<MemberId> members_of(const CircleState& state, Readers readers) {
    std::set<MemberId> out;
    for (const auto& [id, member] : state.members) {
        if (member.removed) continue;
        if (readers == Readers::everyone || is_household(state, id, member)) out.insert(id);
    }
    return out;
}

bool may_read(const CircleState& state, const DeviceId& device, const KeyId& key, Day today) {
    const auto member = state.present_member(device);
    if (!member) return false;
    if (is_household(state, *member, state.members.at(*member))) return true;
    const bool is_closed = std::any_of(state.epochs.begin(), state.epochs.end(), [&](const Epoch& epoch) {
        return epoch.key == key && epoch.scope == Readers::household;
    });
    return readers_on(state, today) == Readers::everyone && !is_closed;
}

MembersDigest digest_of(const std::set<MemberId>& members) {
    codec::Writer ar;
    ar.put_varint(members.size());
    for (const MemberId& member : members) ar(member);
    const Bytes listed = ar.take();
    return hash_as<MembersDigest>("ladderline members 1", {listed});
}

Result<void> may_rotate(const CircleState& state, const MemberId& by) {
    const auto author = state.members.find(by);
    if (author == state.members.end() || author->second.removed)
        return Error{Fault::refused, "Only somebody in the circle can change its key."};
    const MemberRole role = author->second.role;
    switch (state.kind) {
        case CircleKind::desk:
            return ok();
        case CircleKind::club:
            if (role == MemberRole::officer) return ok();
            return Error{Fault::refused, "Only a club officer can change the club's key."};
        case CircleKind::path:
            break;
    }
    if (by == state.founder || role == MemberRole::guardian) return ok();
    return Error{Fault::refused, "Only the newcomer, or the guardian, can change the key of this path."};
}

bool rotation_due(const CircleState& state, Day today) {
    if (state.epochs.empty() ? state.founding_key_is_stale : state.epochs.front().is_stale) return true;
    const Readers now = state.epochs.empty() ? Readers::everyone : state.epochs.front().scope;
    if (now == readers_on(state, today)) return false;
    return now == Readers::household || members_of(state, Readers::everyone) != members_of(state, Readers::household);
}

bool rotation_due(const CircleState& state, WallTime since, WallTime now) {
    if (rotation_due(state, utc_day(now))) return true;
    const bool shared = std::count_if(state.devices.begin(), state.devices.end(), [&](const auto& device) {
                            return state.present_member(device.first).has_value();
                        }) > 1;
    return shared && days_between(utc_day(since), utc_day(now)) >= epoch_days_max;
}

void put_in_order(std::vector<Epoch>& epochs) {
    std::vector<std::pair<bool, Epoch>> ranked;  // whether others have fewer readers of its
    for (const Epoch& epoch : epochs) {
        const bool is_wider =
            std::any_of(epochs.begin(), epochs.end(), [&](const Epoch& other) { return has_fewer(other, epoch); });
        ranked.emplace_back(is_wider, epoch);
    }
    std::sort(ranked.begin(), ranked.end(), [](const auto& a, const auto& b) {
        if (a.first != b.first) return b.first;
        return goes_first(a.second, b.second);
    });
    epochs.clear();
    for (auto& [is_wider, epoch] : ranked) epochs.push_back(std::move(epoch));
}

KeyLink seal_link(const CircleId& circle, const AeadKey& newer, const AeadKey& older) {
    const KeyId id = id_of_key(older);
    return {id, xseal(newer, link_nonce(id_of_key(newer), id), circle.view(), older.view())};
}

Result<AeadKey> open_link(const CircleId& circle, const AeadKey& newer, const KeyLink& link) {
    TRY(Bytes plain, xopen(newer, link_nonce(id_of_key(newer), link.key), circle.view(), link.sealed));
    if (plain.size() != AeadKey::size) return Error{Fault::wrong_key, "A link to an older key holds something else."};
    AeadKey key = AeadKey::copy_of(plain);
    wipe(plain);
    if (id_of_key(key) != link.key) return Error{Fault::wrong_key, "A link to an older key holds another key."};
    return key;
}

}  // namespace ladderline::protocol
