#include "protocol/circle/removals.hpp"

#include <bit>

namespace ladderline::protocol {

std::size_t Bits::count() const {
    std::size_t sum = 0;
    for (const std::uint64_t word : words_) sum += static_cast<std::size_t>(std::popcount(word));
    return sum;
}

bool Bits::covers(const Bits& other) const {
    for (std::size_t i = 0; i < other.words_.size(); ++i) {
        const std::uint64_t here = i < words_.size() ? words_[i] : 0;
        if ((other.words_[i] & ~here) != 0) return false;
    }
    return true;
}

Bits& Bits::operator|=(const Bits& other) {
    ENSURE(other.size_ <= size_);
    for (std::size_t i = 0; i < other.words_.size(); ++i) words_[i] |= other.words_[i];
    return *this;
}

void Removals::add_event(std::size_t i, Event event) {
    const auto added = events_.emplace(i, std::move(event)).first;
    if (added->second.founds) return;
    for (const auto& [removal, body] : removals_) {
        if (hits(removal, i)) hits_[i].push_back(removal);
    }
}

void Removals::add_removal(std::size_t i, const MemberId& member, const std::optional<DeviceId>& device,
                           const std::vector<Cut>& cuts) {
    Removal& removal = removals_[i];
    removal.member = member;
    removal.device = device;
    for (const Cut& cut : cuts) {
        const auto [at, added] = removal.last_seq.emplace(cut.log, cut.seq);
        if (!added) at->second = std::min(at->second, cut.seq);
    }
    for (const auto& [event, fields] : events_) {
        if (event == i || fields.founds || !hits(i, event)) continue;
        hits_[event].push_back(i);
        removal.voids_earlier = true;
    }
    worked_out_for_ = Bits();
}

bool Removals::came_back_between(std::size_t removal, const Event& event) const {
    return std::any_of(returns_.begin(), returns_.end(), [&](const auto& entry) {
        return entry.second == event.author && event.past->has(entry.first) &&
               events_.at(entry.first).past->has(removal);
    });
}

// Beyond the cut, and not an act that the remover had seen and let stand.
bool Removals::voids(std::size_t removal, std::size_t event) const {
    const Event& e = events_.at(event);
    const Removal& r = removals_.at(removal);
    if (removal == event || e.founds || e.author != r.member || events_.at(removal).past->has(event)) return false;
    if (r.device && *r.device != e.device) return false;
    if (!r.device && came_back_between(removal, e)) return false;
    const auto last = r.last_seq.find(e.log);
    return last == r.last_seq.end() || e.seq > last->second;
}

bool Removals::hits(std::size_t removal, std::size_t event) const {
    if (voids(removal, event)) return true;
    const auto& supports = events_.at(event).supports;
    return std::any_of(supports.begin(), supports.end(), [&](std::size_t s) { return voids(removal, s); });
}

bool Removals::stands(std::size_t i, const Bits& set) {
    if (hits_[i].empty()) return true;
    work_out(set);
    if (contains(i)) return !is_void(i, set);
    return std::none_of(hits_[i].begin(), hits_[i].end(),
                        [&](std::size_t removal) { return set.has(removal) && !is_void(removal, set); });
}

void Removals::work_out(const Bits& set) {
    if (worked_out_for_ == set) return;
    worked_out_for_ = set;
    void_.clear();
    reached_.clear();
    for (const auto& [removal, body] : removals_) {
        if (set.has(removal) && !hits_[removal].empty()) reached_[removal] = reached_from(removal, set);
    }
}

// All removals that hit this one, or hit one that hits it, and so on.
std::set<std::size_t> Removals::reached_from(std::size_t removal, const Bits& set) const {
    std::set<std::size_t> reached;
    std::vector<std::size_t> todo{removal};
    while (!todo.empty()) {
        const std::size_t at = todo.back();
        todo.pop_back();
        for (const std::size_t hit : hits_[at]) {
            if (set.has(hit) && reached.insert(hit).second) todo.push_back(hit);
        }
    }
    return reached;
}

// Removals that hit one another in a circle all stand, unless one from outside the circle hits them.
bool Removals::is_void(std::size_t removal, const Bits& set) {
    if (hits_[removal].empty()) return false;
    const auto known = void_.find(removal);
    if (known != void_.end()) return known->second;
    const auto mutual = [&](std::size_t other) {
        const auto back = reached_.find(other);
        return back != reached_.end() && back->second.contains(removal);
    };
    bool gone = false;
    for (const std::size_t hit : hits_[removal]) {
        if (set.has(hit) && !mutual(hit) && !is_void(hit, set)) gone = true;
    }
    void_[removal] = gone;
    return gone;
}

}  // namespace ladderline::protocol
