#pragma once
// Which acts the removals in a set of control events void. Part of the fold (fold.cpp); events are positions in its
// order.

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <vector>

#include "protocol/circle/bodies.hpp"

namespace ladderline::protocol {

// A set of positions below `size`. What an event knows of lies before it, so the sets of a fold are of many sizes: kept
// all as large as the whole they would be most of a big circle's memory.
class Bits {
public:
    Bits() = default;
    explicit Bits(std::size_t size) : size_(size), words_((size + 63) / 64) {}
    std::size_t size() const { return size_; }
    bool has(std::size_t i) const { return i < size_ && (words_[i / 64] >> (i % 64) & 1) != 0; }
    // Precondition: i < size().
    void set(std::size_t i) { words_[i / 64] |= std::uint64_t{1} << (i % 64); }
    std::size_t count() const;
    // Everything in `other` is in here too.
    bool covers(const Bits& other) const;
    // Precondition: other.size() <= size().
    Bits& operator|=(const Bits& other);
    bool operator==(const Bits&) const = default;

private:
    std::size_t size_ = 0;
    std::vector<std::uint64_t> words_;
};

class Removals {
public:
    explicit Removals(std::size_t events_max) : hits_(events_max) {}

    // An event whose author had the right to it.
    struct Event {
        MemberId author;
        DeviceId device;
        LogId log;
        std::uint64_t seq = 0;
        const Bits* past = nullptr;      // lives as long as this
        std::set<std::size_t> supports;  // what its author's rights rest on
        bool founds = false;             // nothing voids the founding event
    };
    void add_event(std::size_t i, Event event);
    // The same event, being the end of a member or of one device of theirs. After add_event, before any later event.
    void add_removal(std::size_t i, const MemberId& member, const std::optional<DeviceId>& device,
                     const std::vector<Cut>& cuts);
    // The same event, letting in somebody who was removed: what they do from here on is no matter of older removals.
    void add_return(std::size_t i, const MemberId& member) { returns_[i] = member; }

    const MemberId& author_of(std::size_t i) const { return events_.at(i).author; }
    bool contains(std::size_t i) const { return removals_.contains(i); }
    // Whose end removal `i` is, as a member or with one device.
    const MemberId& member_of(std::size_t i) const { return removals_.at(i).member; }
    // The removal voids something that was taken in before it.
    bool voids_earlier(std::size_t i) const { return removals_.at(i).voids_earlier; }
    // Does event `i` keep its effect among the events in `set`?
    bool stands(std::size_t i, const Bits& set);

private:
    struct Removal {
        MemberId member;
        std::optional<DeviceId> device;           // none: all of the member's
        std::map<LogId, std::uint64_t> last_seq;  // by log, the last event that counts
        bool voids_earlier = false;
    };

    bool came_back_between(std::size_t removal, const Event& event) const;
    bool voids(std::size_t removal, std::size_t event) const;
    bool hits(std::size_t removal, std::size_t event) const;
    bool is_void(std::size_t removal, const Bits& set);
    void work_out(const Bits& set);
    std::set<std::size_t> reached_from(std::size_t removal, const Bits& set) const;

    std::map<std::size_t, Event> events_;
    std::map<std::size_t, Removal> removals_;
    std::map<std::size_t, MemberId> returns_;
    std::vector<std::vector<std::size_t>> hits_;  // by event: removals that void it, or something it rests on
    Bits worked_out_for_;
    std::map<std::size_t, bool> void_;  // by removal that is hit by others, within worked_out_for_
    std::map<std::size_t, std::set<std::size_t>> reached_;
};

}  // namespace ladderline::protocol
