#include "protocol/circle/goings.hpp"

namespace ladderline::protocol {
namespace {

const std::vector<Cut>& cuts_in(const Act& act) {
    if (const auto* remove = std::get_if<RemoveBody>(&act)) return remove->cuts;
    if (const auto* leave = std::get_if<LeaveBody>(&act)) return leave->cuts;
    if (const auto* revoke = std::get_if<RevokeBody>(&act)) return revoke->cuts;
    return std::get<ExtendCutBody>(act).cuts;
}

// The strictest cut of each log; a log that one of the acts does not name is cut at nothing.
std::map<LogId, Cut> strictest_of(const std::vector<std::size_t>& events, const std::vector<Act>& acts) {
    std::map<LogId, Cut> out;
    bool is_first = true;
    for (const std::size_t i : events) {
        const std::map<LogId, Cut> cuts = strictest(cuts_in(acts[i]));
        if (std::exchange(is_first, false)) {
            out = cuts;
            continue;
        }
        std::erase_if(out, [&](const auto& entry) { return !cuts.contains(entry.first); });
        for (auto& [log, cut] : out) {
            const Cut& other = cuts.at(log);
            if (std::tie(other.seq, other.event) < std::tie(cut.seq, cut.event)) cut = other;
        }
    }
    return out;
}

void extend(std::map<LogId, Cut>& cuts, const std::vector<Cut>& further) {
    for (const auto& [log, cut] : strictest(further)) {
        const auto [at, added] = cuts.emplace(log, cut);
        if (!added && std::tie(at->second.seq, at->second.event) < std::tie(cut.seq, cut.event)) at->second = cut;
    }
}

bool has_all(const Bits& past, const std::vector<std::size_t>& events) {
    return std::all_of(events.begin(), events.end(), [&](std::size_t i) { return past.has(i); });
}

}  // namespace

std::vector<std::size_t> Goings::removals_in_force(const std::vector<Bits>& past) const {
    std::vector<std::size_t> out;
    const std::vector<std::size_t>& removals = all(What::removal);
    const auto is_replaced = [&](std::size_t removal) {
        return std::any_of(all(What::comeback).begin(), all(What::comeback).end(), [&](std::size_t back) {
            return past[back].has(removal) && std::any_of(removals.begin(), removals.end(),
                                                          [&](std::size_t later) { return past[later].has(back); });
        });
    };
    std::copy_if(removals.begin(), removals.end(), std::back_inserter(out),
                 [&](std::size_t removal) { return !is_replaced(removal); });
    return out;
}

bool Goings::is_back(const std::vector<Bits>& past) const {
    if (all(What::removal).empty()) return true;
    return std::any_of(all(What::comeback).begin(), all(What::comeback).end(),
                       [&](std::size_t back) { return has_all(past[back], all(What::removal)); });
}

bool Goings::settle(CircleState& state, const MemberId& member, const std::vector<Act>& acts,
                    const std::vector<Bits>& past) const {
    const std::vector<std::size_t> removals = removals_in_force(past);
    std::map<DeviceId, std::vector<std::size_t>> revocations;
    for (const std::size_t i : all(What::revocation)) {
        revocations[std::get<RevokeBody>(acts[i]).device].push_back(i);
    }
    std::map<LogId, Cut> cuts = strictest_of(removals, acts);
    for (const auto& [device, events] : revocations) state.revoked[device] = strictest_of(events, acts);
    for (const std::size_t i : all(What::extension)) {
        if (!has_all(past[i], removals) || !has_all(past[i], all(What::revocation))) continue;
        const std::vector<Cut>& further = cuts_in(acts[i]);
        extend(cuts, further);
        for (const auto& [device, events] : revocations) extend(state.revoked[device], further);
    }
    Member& entry = state.members.at(member);
    entry.removed = !is_back(past);
    entry.left = entry.removed && std::all_of(removals.begin(), removals.end(), [&](std::size_t i) {
                     return std::holds_alternative<LeaveBody>(acts[i]);
                 });
    if (!removals.empty()) state.cuts[member] = std::move(cuts);
    return !entry.removed;
}

}  // namespace ladderline::protocol
