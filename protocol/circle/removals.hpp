#pragma once
// Which acts the removals in a set of control events void. Part of the fold (fold.cpp); events are positions in its
// order.

#include <cstdint>
#include <map>
#include <optional>
#include <vector>

#include "protocol/circle/bits.hpp"
#include "protocol/circle/bodies.hpp"

namespace ladderline::protocol {

class Removals {
public:
    explicit Removals(std::size_t events_max)
        : events_(events_max), removals_(events_max), resting_on_(events_max), hits_(events_max) {}

    // An event whose author had the right to it.
    struct Event {
        MemberId author;
        DeviceId device;
        LogId log;
        std::uint64_t seq = 0;
        const Bits* past = nullptr;         // lives as long as this
        std::vector<std::size_t> supports;  // what its author's rights rest on, without what that rests on in turn
        bool founds = false;                // nothing voids the founding event
        bool leaves = false;                // a removal by oneself
    };
    void add_event(std::size_t i, Event event);
    // The same event, being the end of a member or of one device of theirs. After add_event, before any later event.
    void add_removal(std::size_t i, const MemberId& member, const std::optional<DeviceId>& device,
                     const std::vector<Cut>& cuts);
    // The same event, letting in somebody who was removed: what they do from here on is no matter of older removals.
    void add_return(std::size_t i, const MemberId& member) { returns_of_[member].push_back(i); }

    const MemberId& author_of(std::size_t i) const { return events_.at(i).author; }
    const Bits& all() const { return all_; }
    // Whose end removal `i` is, as a member or with one device.
    const MemberId& member_of(std::size_t i) const { return removals_.at(i).member; }
    // The removal voids something that was taken in before it.
    bool voids_earlier(std::size_t i) const { return removals_.at(i).voids_earlier; }
    // Does event `i`, one of those in `set`, keep its effect among them?
    bool stands(std::size_t i, const Bits& set);

private:
    struct Removal {
        MemberId member;
        const Bits* past = nullptr;
        bool leaves = false;
        std::map<LogId, std::uint64_t> last_seq;  // by log, the last event that counts
        bool voids_earlier = false;
        Bits hits;  // removals that it voids, or something they rest on
    };
    // Of one member or one device: what it did, and the removals that mean it as such.
    struct Ends {
        std::vector<std::size_t> acts;
        std::vector<std::size_t> removals;
    };
    using Ring = std::vector<std::size_t>;

    bool voids(const Removal& removal, std::size_t event) const;
    Bits forgiven_to(const Event& event) const;
    void work_out(const Bits& set);
    std::vector<Ring> rings_in(const Bits& set) const;

    std::vector<Event> events_;
    std::vector<Removal> removals_;  // by position, as the others; for most there is none
    std::map<MemberId, Ends> members_;
    std::map<DeviceId, Ends> devices_;
    std::map<MemberId, std::vector<std::size_t>> returns_of_;
    std::vector<std::vector<std::size_t>> resting_on_;  // by event: those that it supports
    std::vector<Bits> hits_;                            // by event: removals that void it, or something it rests on
    Bits all_;
    Bits hit_;             // removals that others hit
    Bits worked_out_for_;  // removals
    Bits void_;            // of those
};

}  // namespace ladderline::protocol
