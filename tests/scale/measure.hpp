#pragma once
// Measured here and now, with production code: what a store takes for an event, and what the dear works cost in CPU.

#include <cstdint>
#include <vector>

namespace ladderline::scale {

// Bytes of a database; the same on every machine with the same SQLite.
struct StoreBytes {
    double device_event = 0;   // with a plain body of 120 bytes, read models included
    double courier_event = 0;  // the same, unread
    double device_member = 0;  // of a circle: admission, log, card, rows
    double courier_member = 0;
};
// `events` of so many logs, as many again, and of three times the logs; more is more exact.
StoreBytes weigh_stores(std::size_t logs, std::size_t events);

using CpuClock = double (*)();  // seconds

// Microseconds of CPU, one core.
struct Work {
    double event_check = 0;  // hash and signature of one event that came alone
    struct AtSize {
        std::size_t members = 0;
        std::size_t control_events = 0;
        double root = 0;        // both sides hash all heads at each visit
        double tree = 0;        // where roots differ
        double fold = 0;        // who belongs to the circle
        double quiet_fold = 0;  // the same, had nobody gone and no key been replaced
        double wraps = 0;       // copies of a new key for all; 0: refused, too many
        double beacon = 0;      // a beacon heard on the local network, against a year's keys
    };
    std::vector<AtSize> sizes;
};
// Of clubs that are a year old; with the assumed goings each of them has brought a new key.
Work measure_work(const std::vector<std::size_t>& members, CpuClock cpu_s);

}  // namespace ladderline::scale
