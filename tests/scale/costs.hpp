#pragma once
// The bytes of one visit to a courier by the wire form: handshake, frames, and every message that the two objects of
// protocol/courier say. Which messages are said, and how long they are, follows from who holds what. The tests hold it
// against the production objects, visit by visit.

#include "tests/scale/circle.hpp"

namespace ladderline::scale {

struct Bytes2 {
    std::uint64_t up = 0;  // from the visitor to the courier
    std::uint64_t down = 0;

    std::uint64_t both() const { return up + down; }
    Bytes2& operator+=(const Bytes2& other) {
        up += other.up;
        down += other.down;
        return *this;
    }
};

enum class VisitKind : std::uint8_t { equal, cursor, tree, cut };

// What the two sides of a visit differ by.
struct Difference {
    std::uint64_t changes_bytes = 0;  // of the visitor's list of logs that changed since the two were equal
    std::uint32_t changes = 0;
    std::uint64_t needs_bytes = 0;  // of the courier's list of logs that it lacks
    std::uint32_t needs = 0;
    std::uint32_t needs_unchanged = 0;  // told by one byte each
    std::uint64_t runs_up_bytes = 0;
    std::uint32_t runs_up = 0;
    std::uint64_t runs_down_bytes = 0;
    std::uint32_t runs_down = 0;
    // For the formula of the goals: 91 + plain body and what the event names beside it; logs told or differing.
    std::uint64_t events_bytes = 0;
    std::uint32_t logs = 0;
    std::uint32_t visitor_logs = 0;  // that the visitor holds anything of
    std::uint32_t events_up = 0;
    std::uint32_t events_down = 0;
};

Difference difference_of(const Circle& circle, const Seat& seat, std::size_t courier);

struct VisitFigures {
    VisitKind kind = VisitKind::equal;
    std::uint64_t courier_arrivals = 0;  // of its store, before the visit
    std::uint64_t behind = 0;            // of these, since the two were equal
    std::uint64_t used_bytes = 0;
};
Bytes2 bytes_of(const VisitFigures& visit, const Difference& difference);

// 1.05 E + 128 + 24 dL (the goal for a sync with a cursor, beyond the cost of an equal one).
double formula_bytes(const Difference& difference);

// What keys cost beside a visit: the sealed copies, and the asking for them.
struct KeyCosts {
    std::uint64_t copy = 0;  // one, with its place under the root
    explicit KeyCosts(std::size_t boxes);
    Bytes2 left_by_registrar(std::size_t boxes) const;
    Bytes2 fetched() const;  // asked for, with the paper key's that is not there, in a visit
    Bytes2 come_back_by_former_key(std::size_t kept) const;  // so many epochs have copies at the courier
    static Bytes2 second_claim();
};

}  // namespace ladderline::scale
