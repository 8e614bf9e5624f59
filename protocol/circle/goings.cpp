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
Cuts strictest_of(const std::vector<std::size_t>& events, const std::vector<Act>& acts) {
    Cuts out;
    bool is_first = true;
    for (const std::size_t i : events) {
        const Cuts cuts = strictest(cuts_in(acts[i]));
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

bool has_all(const Bits& past, const std::vector<std::size_t>& events) {
    return std::all_of(events.begin(), events.end(), [&](std::size_t i) { return past.has(i); });
}

}  // namespace

// What the remover knew of a comeback, the removals before it are done with. No earlier extension knows of this one.
void Goings::add_removal(std::size_t i, const std::vector<Bits>& past) {
    std::erase_if(comebacks_, [&](std::size_t back) {
        if (!past[i].has(back)) return false;
        std::erase_if(in_force_, [&](std::size_t removal) { return past[back].has(removal); });
        return true;
    });
    in_force_.push_back(i);
    extensions_.clear();
    is_back_ = false;
}

void Goings::add_revocation(std::size_t i) {
    revocations_.push_back(i);
    extensions_.clear();
}

void Goings::add_extension(std::size_t i, const std::vector<Bits>& past) {
    if (has_all(past[i], in_force_) && has_all(past[i], revocations_)) extensions_.push_back(i);
}

void Goings::add_comeback(std::size_t i, const std::vector<Bits>& past) {
    comebacks_.push_back(i);
    is_back_ = is_back_ || has_all(past[i], in_force_);
}

bool Goings::settle(CircleState& state, const MemberId& member, std::size_t i, const std::vector<Act>& acts,
                    const std::vector<Bits>& past) {
    settled_at_ = i;
    for (; revocations_written_ < revocations_.size(); ++revocations_written_) {
        state.revoked[std::get<RevokeBody>(acts[revocations_[revocations_written_]]).device];
    }
    Member& entry = state.members.at(member);
    entry.removed = !is_back_;
    write_leaving(entry, acts, past);
    return is_back_;
}

// Whoever removes somebody and knows that they have left sees them off; they have still left.
void Goings::write_leaving(Member& entry, const std::vector<Act>& acts, const std::vector<Bits>& past) const {
    Bits leaves;
    for (const std::size_t removal : in_force_) {
        if (std::holds_alternative<LeaveBody>(acts[removal])) leaves.set(removal);
    }
    bool by_others = false;
    bool knew = true;
    for (const std::size_t removal : in_force_) {
        if (leaves.has(removal)) continue;
        by_others = true;
        knew = knew && past[removal].first_common(leaves).has_value();
    }
    entry.left = entry.removed && knew;
    entry.seen_off = entry.left && by_others;
}

void Goings::write_cuts(CircleState& state, const MemberId& member, const std::vector<Act>& acts) const {
    std::map<DeviceId, std::vector<std::size_t>> of_devices;
    for (const std::size_t i : revocations_) of_devices[std::get<RevokeBody>(acts[i]).device].push_back(i);
    for (const auto& [device, events] : of_devices) state.revoked[device] = {member, strictest_of(events, acts)};
    if (!in_force_.empty()) state.cuts[member] = strictest_of(in_force_, acts);
    for (const std::size_t i : extensions_) {
        for (const auto& [log, cut] : strictest(cuts_in(acts[i]))) lengthen(state.extensions[member], cut);
    }
}

}  // namespace ladderline::protocol
