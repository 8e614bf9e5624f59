#pragma once
// What a simulated club, or many of them together, came to.

#include "tests/scale/costs.hpp"
#include "tests/scale/tally.hpp"

namespace ladderline::scale {

// Delays in seconds.
struct Delays {
    Tally half;  // from writing until half of those who are to have it have it
    Tally most;  // 95 of 100
    Tally all;
    Tally online;  // of each delivery, from when the reader's device was first on after the writing

    void add(const Delays& other);
};

// What is kept, at one moment: by one member's first device, and by one courier.
struct Weights {
    Tally device_events, device_circles, device_body_bytes;
    Tally courier_events, courier_used_bytes, courier_places;

    void add(const Weights& other);
};

struct Figures {
    // A member's devices together, a day.
    Tally member_up, member_down, member_both;
    Tally courier_up, courier_down, courier_visits;  // of one courier, a day; up is what comes in
    Tally courier_hour_visits;                       // the same, an hour
    std::uint64_t visits = 0;                        // that came about
    std::uint64_t equal = 0;
    std::uint64_t by_cursor = 0;
    std::uint64_t by_tree = 0;
    std::uint64_t failed = 0;
    std::uint64_t cut = 0;
    Bytes2 equal_bytes, differing_bytes, key_bytes;
    std::uint64_t event_bytes = 0;  // of the differing ones: what the events themselves come to
    std::uint64_t shut_out = 0;     // visits of devices whose key is older than the courier remembers
    std::uint64_t rotations = 0;
    std::uint64_t joined = 0, gone = 0;
    std::uint64_t formula_held = 0, formula_visits = 0;  // with cursor: within 1.05 E + 128 + 24 dL
    double formula_worst = 0;                            // bytes to formula
    Delays club, path;
    Weights start, end;
    std::uint64_t club_words = 0, path_words = 0, desk_words = 0;
    std::uint64_t settle_s = 0;  // after the last fault, until everybody had everything
    bool is_settled = true;
    std::uint64_t people_days = 0;

    void add(const Figures& other);
};

}  // namespace ladderline::scale
