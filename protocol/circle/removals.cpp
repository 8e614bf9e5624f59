#include "protocol/circle/removals.hpp"

namespace ladderline::protocol {
namespace {

// Depth first from `start`, through what is still in `open` and leaves it. Appends what is reached, the furthest first.
template <class Next>
void walk(std::size_t start, Bits& open, const Next& next, std::vector<std::size_t>& reached) {
    std::vector<std::size_t> path{start};
    open.reset(start);
    while (!path.empty()) {
        if (const auto further = next(path.back()).first_common(open)) {
            open.reset(*further);
            path.push_back(*further);
        } else {
            reached.push_back(path.back());
            path.pop_back();
        }
    }
}

}  // namespace

void Removals::add_event(std::size_t i, Event event) {
    const Event& e = events_.at(i) = std::move(event);
    if (e.founds) return;
    for (const std::size_t support : e.supports) {
        resting_on_[support].push_back(i);
        hits_[i] |= hits_[support];
    }
    Ends& device = devices_[e.device];
    device.acts.push_back(i);
    for (const std::size_t removal : device.removals) {
        if (voids(removals_[removal], i)) hits_[i].set(removal);
    }
    Ends& member = members_[e.author];
    member.acts.push_back(i);
    if (member.removals.empty()) return;
    const Bits forgiven = forgiven_to(e);
    for (const std::size_t removal : member.removals) {
        if (!forgiven.has(removal) && voids(removals_[removal], i)) hits_[i].set(removal);
    }
}

void Removals::add_removal(std::size_t i, const MemberId& member, const std::optional<DeviceId>& device,
                           const std::vector<Cut>& cuts) {
    Removal& removal = removals_[i];
    removal.member = member;
    removal.past = events_[i].past;
    removal.leaves = events_[i].leaves;
    for (const Cut& cut : cuts) {
        const auto [at, added] = removal.last_seq.emplace(cut.log, cut.seq);
        if (!added) at->second = std::min(at->second, cut.seq);
    }
    Ends& ends = device ? devices_[*device] : members_[member];
    ends.removals.push_back(i);
    all_.set(i);
    if (!hits_[i].is_empty()) hit_.set(i);
    hits_[i].for_each([&](std::size_t other) { removals_[other].hits.set(i); });

    std::vector<std::size_t> hit;
    for (const std::size_t event : ends.acts) {
        if (event != i && voids(removal, event)) hit.push_back(event);
    }
    removal.voids_earlier = !hit.empty();
    while (!hit.empty()) {
        const std::size_t event = hit.back();
        hit.pop_back();
        if (hits_[event].has(i)) continue;
        hits_[event].set(i);
        if (all_.has(event)) {
            hit_.set(event);
            removal.hits.set(event);
        }
        hit.insert(hit.end(), resting_on_[event].begin(), resting_on_[event].end());
    }
}

// The removals that the returns known to an event knew of in turn: its author came back between them and the event.
Bits Removals::forgiven_to(const Event& event) const {
    Bits out;
    const auto returns = returns_of_.find(event.author);
    if (returns == returns_of_.end()) return out;
    for (const std::size_t back : returns->second) {
        if (event.past->has(back)) out |= *events_[back].past;
    }
    return out;
}

// An act of whom the removal means: beyond the cut, and none that the remover had seen and let stand. Whether it is
// forgiven is another question. Two leaves of one member leave one another alone: both say the same, and thousands of
// them side by side would be compared each with each.
bool Removals::voids(const Removal& removal, std::size_t event) const {
    const Event& e = events_[event];
    if (removal.leaves && e.leaves) return false;
    if (e.author != removal.member || removal.past->has(event)) return false;
    const auto last = removal.last_seq.find(e.log);
    return last == removal.last_seq.end() || e.seq > last->second;
}

bool Removals::stands(std::size_t i, const Bits& set) {
    if (hits_[i].is_empty()) return true;
    work_out(set);
    if (all_.has(i)) return !void_.has(i);
    return ((hits_[i] & worked_out_for_) - void_).is_empty();
}

// Removals that hit one another in a ring all stand, unless one that stands hits them from outside.
void Removals::work_out(const Bits& set) {
    Bits removals = set & all_;
    if (removals == worked_out_for_) return;
    worked_out_for_ = std::move(removals);
    void_ = {};
    for (const Ring& ring : rings_in(worked_out_for_ & hit_)) {
        Bits standing = worked_out_for_ - void_;
        for (const std::size_t removal : ring) standing.reset(removal);
        for (const std::size_t removal : ring) {
            if (hits_[removal].first_common(standing)) void_.set(removal);
        }
    }
}

// The removals in `set` by rings of those that hit one another, directly or through others; what a ring is hit by comes
// before it (Kosaraju and Sharir: twice depth first, the second time against the arrows).
std::vector<Removals::Ring> Removals::rings_in(const Bits& set) const {
    std::vector<std::size_t> order;
    Bits open = set;
    while (const auto start = open.first()) {
        walk(
            *start, open, [&](std::size_t i) -> const Bits& { return removals_[i].hits; }, order);
    }
    std::vector<Ring> out;
    open = set;
    for (auto start = order.rbegin(); start != order.rend(); ++start) {
        if (!open.has(*start)) continue;
        walk(
            *start, open, [&](std::size_t i) -> const Bits& { return hits_[i]; }, out.emplace_back());
    }
    return out;
}

}  // namespace ladderline::protocol
