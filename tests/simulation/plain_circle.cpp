#include "tests/simulation/plain_circle.hpp"

#include <algorithm>

namespace ladderline::simulation {

using namespace protocol;

namespace {

const std::vector<Cut>& cuts_in(const Act& act) {
    static const std::vector<Cut> none;
    if (const auto* remove = std::get_if<RemoveBody>(&act)) return remove->cuts;
    if (const auto* leave = std::get_if<LeaveBody>(&act)) return leave->cuts;
    if (const auto* revoke = std::get_if<RevokeBody>(&act)) return revoke->cuts;
    if (const auto* extend = std::get_if<ExtendCutBody>(&act)) return extend->cuts;
    return none;
}

// The place that an act names for a log, of several the first; none if it does not name it.
std::optional<Cut> cut_in(const Act& act, const LogId& log) {
    std::optional<Cut> out;
    for (const Cut& cut : cuts_in(act)) {
        if (cut.log != log) continue;
        if (!out || std::tie(cut.seq, cut.event) < std::tie(out->seq, out->event)) out = cut;
    }
    return out;
}

// Several people may certify one device without knowing of each other: whose it is, the state that its loss was judged
// by says.
MemberId whom_it_removes(const Act& act, const MemberId& author, const CircleState& past) {
    if (const auto* remove = std::get_if<RemoveBody>(&act)) return remove->member;
    if (const auto* revoke = std::get_if<RevokeBody>(&act)) return past.devices.at(revoke->device).member;
    return author;
}

bool is_in(const std::set<EventId>& set, const std::set<EventId>& all) {
    return std::includes(all.begin(), all.end(), set.begin(), set.end());
}

}  // namespace

PlainCircle::PlainCircle(const CircleId& circle, const std::vector<ControlEvent>& events)
    : founding_{circle.data}, events_(events) {
    for (bool found = true; found;) {
        found = false;
        const ControlEvent* next = nullptr;
        for (const ControlEvent& event : events_) {
            if (known_.contains(event.id) || !is_ready(event)) continue;
            if (next == nullptr || event.id < next->id) next = &event;
        }
        if (next == nullptr) break;
        found = true;
        Known known;
        known.event = next;
        known.act = read_act(*next);
        for (const EventId& link : links_of(*next)) {
            known.past.insert(link);
            known.past.insert(at(link).past.begin(), at(link).past.end());
        }
        order_.push_back(next->id);
        Known& kept = known_[next->id] = std::move(known);
        judge(kept);
    }
}

PlainCircle::Ids PlainCircle::links_of(const ControlEvent& event) const {
    if (event.id == founding_) return {};
    Ids links{founding_};
    for (const ControlEvent& other : events_) {
        if (std::find(event.ctl.begin(), event.ctl.end(), other.id) != event.ctl.end()) links.insert(other.id);
    }
    const ControlEvent* before = nullptr;
    for (const ControlEvent& other : events_) {
        if (other.log != event.log || other.seq >= event.seq) continue;
        if (before == nullptr || other.seq > before->seq) before = &other;
    }
    if (before != nullptr) links.insert(before->id);
    return links;
}

bool PlainCircle::is_ready(const ControlEvent& event) const {
    const Ids links = links_of(event);
    return std::all_of(links.begin(), links.end(), [&](const EventId& link) { return known_.contains(link); });
}

void PlainCircle::rest_on(Known& known, const EventId& support) const {
    known.rests_on.insert(support);
    known.rests_on.insert(at(support).rests_on.begin(), at(support).rests_on.end());
}

void PlainCircle::judge(Known& known) {
    const ControlEvent& event = *known.event;
    if (const auto* found = std::get_if<FoundBody>(&known.act)) {
        if (event.id != founding_ || !may_found(event, *found)) return;
        known.author = found->device.member;
        lawful_.insert(event.id);
        return;
    }
    Ids past;
    std::set_intersection(known.past.begin(), known.past.end(), lawful_.begin(), lawful_.end(),
                          std::inserter(past, past.end()));
    const Standing then = standing_of(past);
    const auto present = then.state.present_member(event.author);
    const auto author = present ? present : brings_itself(then.state, event, known.act);
    if (!author || !is_allowed(then.state, Author{*author, event.author}, known.act)) return;
    known.author = *author;
    rest_on(known, present ? then.device_by.at(event.author) : then.member_by.at(*author));
    if (needs_role(then.state, *author, known.act)) rest_on(known, then.role_by.at(*author));
    known.is_return = is_return(then.state, known.act);
    known.removed = whom_it_removes(known.act, known.author, then.state);
    lawful_.insert(event.id);
}

bool PlainCircle::is_removal(const EventId& id) const {
    const Act& act = at(id).act;
    return std::holds_alternative<RemoveBody>(act) || std::holds_alternative<LeaveBody>(act) ||
           std::holds_alternative<RevokeBody>(act);
}

bool PlainCircle::voids(const EventId& removal, const EventId& event) const {
    const Known& r = at(removal);
    const Known& e = at(event);
    if (removal == event || event == founding_ || e.author != removed_by(removal) || r.past.contains(event))
        return false;
    if (std::holds_alternative<LeaveBody>(r.act) && std::holds_alternative<LeaveBody>(e.act)) return false;
    const auto* revoke = std::get_if<RevokeBody>(&r.act);
    if (revoke != nullptr && revoke->device != e.event->author) return false;
    if (revoke == nullptr) {
        for (const EventId& back : e.past) {
            const auto* admit = std::get_if<AdmitBody>(&at(back).act);
            const bool came_back = lawful_.contains(back) && at(back).is_return && admit->member == e.author;
            if (came_back && at(back).past.contains(removal)) return false;
        }
    }
    const auto cut = cut_in(r.act, e.event->log);
    return !cut || e.event->seq > cut->seq;
}

bool PlainCircle::hits(const EventId& removal, const EventId& event) const {
    const auto known = hits_.find({removal, event});
    if (known != hits_.end()) return known->second;
    bool out = voids(removal, event);
    for (const EventId& support : at(event).rests_on) out = out || voids(removal, support);
    return hits_[{removal, event}] = out;
}

// A chain of removals in the set, each hitting the next, from one to the other.
bool PlainCircle::reaches(const EventId& from, const EventId& to, const Ids& set) const {
    Ids seen{from};
    std::vector<EventId> todo{from};
    while (!todo.empty()) {
        const EventId now = todo.back();
        todo.pop_back();
        for (const EventId& next : set) {
            if (!is_removal(next) || !hits(now, next)) continue;
            if (next == to) return true;
            if (seen.insert(next).second) todo.push_back(next);
        }
    }
    return false;
}

bool PlainCircle::stands(const EventId& id, const Ids& set) const {
    if (id == founding_) return true;
    for (const EventId& removal : set) {
        if (!is_removal(removal) || !hits(removal, id)) continue;
        if (is_removal(id) && reaches(id, removal, set)) continue;  // a ring: both stand
        if (stands(removal, set)) return false;
    }
    return true;
}

PlainCircle::Ids PlainCircle::standing_in(const Ids& set) const {
    Ids out;
    for (const EventId& id : set) {
        if (stands(id, set)) out.insert(id);
    }
    return out;
}

PlainCircle::Standing PlainCircle::standing_of(const Ids& set) const {
    const Ids standing = standing_in(set);
    Standing out;
    Ids so_far;
    for (const EventId& id : order_) {
        if (!standing.contains(id)) continue;
        so_far.insert(id);
        carry_out(out, at(id), so_far);
    }
    list_returns(out.state, standing);
    return out;
}

void PlainCircle::carry_out(Standing& standing, const Known& known, const Ids& so_far) const {
    CircleState& state = standing.state;
    const EventId& id = known.event->id;
    protocol::carry_out(state, known.author, known.act);
    if (const auto* found = std::get_if<FoundBody>(&known.act)) {
        standing.member_by.emplace(found->device.member, id);
        standing.role_by.emplace(found->device.member, id);
        standing.device_by.emplace(found->device.device, id);
    } else if (const auto* admit = std::get_if<AdmitBody>(&known.act)) {
        standing.member_by.emplace(admit->member, id);
        standing.role_by.emplace(admit->member, id);
        for (const DeviceCertificate& device : admit->devices) standing.device_by.emplace(device.device, id);
        settle(state, admit->member, so_far);
        Member& member = state.members.at(admit->member);
        if (known.is_return && !member.removed) {
            member = {admit->role, admit->level, admit->name, admit->is_minor, false, false};
            standing.member_by[admit->member] = standing.role_by[admit->member] = id;
        }
    } else if (const auto* certify = std::get_if<CertifyBody>(&known.act)) {
        standing.device_by.emplace(certify->device.device, id);
    } else if (const auto* set = std::get_if<SetRoleBody>(&known.act)) {
        if (state.members.contains(set->member)) standing.role_by[set->member] = id;
    } else if (is_removal(id)) {
        settle(state, removed_by(id), so_far);
    } else if (const auto* extend = std::get_if<ExtendCutBody>(&known.act)) {
        settle(state, extend->member, so_far);
    }
}

// Presence and cuts of one member, from all that stands so far.
void PlainCircle::settle(CircleState& state, const MemberId& member, const Ids& so_far) const {
    if (!state.members.contains(member)) return;
    Ids removals;
    Ids returns;
    for (const EventId& id : so_far) {
        const auto* admit = std::get_if<AdmitBody>(&at(id).act);
        if (is_removal(id) && !std::holds_alternative<RevokeBody>(at(id).act) && removed_by(id) == member)
            removals.insert(id);
        if (admit != nullptr && at(id).is_return && admit->member == member) returns.insert(id);
    }
    const bool is_back = removals.empty() || std::any_of(returns.begin(), returns.end(), [&](const EventId& back) {
                             return is_in(removals, at(back).past);
                         });
    Ids in_force = removals;
    for (const EventId& back : returns) {
        for (const EventId& later : removals) {
            if (!at(later).past.contains(back)) continue;
            std::erase_if(in_force, [&](const EventId& old) { return at(back).past.contains(old); });
        }
    }
    Member& entry = state.members.at(member);
    entry.removed = !is_back;
    Ids leaves = in_force;
    std::erase_if(leaves, [&](const EventId& id) { return !std::holds_alternative<LeaveBody>(at(id).act); });
    const auto knows_a_leave = [&](const EventId& id) {
        return leaves.contains(id) || std::any_of(leaves.begin(), leaves.end(),
                                                  [&](const EventId& leave) { return at(id).past.contains(leave); });
    };
    entry.left = entry.removed && std::all_of(in_force.begin(), in_force.end(), knows_a_leave);
    entry.seen_off = entry.left && leaves.size() < in_force.size();
    settle_cuts(state, member, in_force, so_far);
}

void PlainCircle::settle_cuts(CircleState& state, const MemberId& member, const Ids& removals,
                              const Ids& so_far) const {
    Ids revocations;
    std::vector<const Act*> extensions;
    for (const EventId& id : so_far) {
        if (std::holds_alternative<RevokeBody>(at(id).act) && removed_by(id) == member) revocations.insert(id);
    }
    for (const EventId& id : so_far) {
        const auto* extend = std::get_if<ExtendCutBody>(&at(id).act);
        if (extend == nullptr || extend->member != member) continue;
        if (is_in(removals, at(id).past) && is_in(revocations, at(id).past)) extensions.push_back(&at(id).act);
    }
    std::set<LogId> logs;
    for (const EventId& id : so_far) {
        for (const Cut& cut : cuts_in(at(id).act)) logs.insert(cut.log);
    }
    const auto cuts_of = [&](const Ids& ends) {
        std::map<LogId, Cut> out;
        for (const LogId& log : logs) {
            std::optional<Cut> least;
            bool is_named = !ends.empty();
            for (const EventId& end : ends) {
                const auto cut = cut_in(at(end).act, log);
                is_named = is_named && cut.has_value();
                if (cut && (!least || std::tie(cut->seq, cut->event) < std::tie(least->seq, least->event))) least = cut;
            }
            if (!is_named) least.reset();
            for (const Act* extension : extensions) {
                const auto further = cut_in(*extension, log);
                if (further && (!least || std::tie(least->seq, least->event) < std::tie(further->seq, further->event)))
                    least = further;
            }
            if (least) out.emplace(log, *least);
        }
        return out;
    };
    if (!removals.empty()) state.cuts[member] = cuts_of(removals);
    for (const EventId& id : revocations) {
        const DeviceId& device = std::get<RevokeBody>(at(id).act).device;
        Ids of_device = revocations;
        std::erase_if(of_device,
                      [&](const EventId& other) { return std::get<RevokeBody>(at(other).act).device != device; });
        state.revoked[device] = {member, cuts_of(of_device)};
    }
}

void PlainCircle::list_returns(CircleState& state, const Ids& standing) const {
    std::map<MemberId, Ids> after;
    for (const EventId& id : standing) {
        if (!at(id).is_return) continue;
        const MemberId& member = std::get<AdmitBody>(at(id).act).member;
        const auto entry = state.members.find(member);
        const bool is_latest = std::none_of(standing.begin(), standing.end(), [&](const EventId& other) {
            return at(other).is_return && std::get<AdmitBody>(at(other).act).member == member &&
                   at(other).past.contains(id);
        });
        if (entry == state.members.end() || entry->second.removed || !is_latest) continue;
        after[member].insert(id);
        for (const EventId& later : standing) {
            if (at(later).past.contains(id)) after[member].insert(later);
        }
    }
    for (const auto& [member, ids] : after) state.after_return[member] = EventSubset(ids);
}

PlainCircle::Ids PlainCircle::without_effect() const {
    const Ids standing = standing_in(lawful_);
    Ids out;
    for (const EventId& id : order_) {
        if (!standing.contains(id)) out.insert(id);
    }
    return out;
}

}  // namespace ladderline::simulation
