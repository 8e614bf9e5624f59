#pragma once
// A station as its owner describes it, and the exposure worksheet that was worked out for it.

#include "protocol/event/bodies.hpp"

namespace ladderline::protocol {

// What came out, and on which day. Distances in millimetres from the nearest part of the antenna.
struct WorkedOut {
    Day day;
    Day rules;                      // for which the limits were right
    std::uint32_t informed_mm = 0;  // least distance of people who know of it
    std::uint32_t anybody_mm = 0;   // of everybody else

    template <class Archive>
    void serialize(Archive& ar) {
        ar(day, rules, informed_mm, anybody_mm);
    }
};

// Stays on the desk. One name is one station: the latest one of a name stands. Without `worked` something about it has
// changed and nobody has worked it out again.
struct StationBody {
    std::string name;
    std::string antenna;  // in words
    std::string place;    // in words
    std::uint64_t frequency_hz = 0;
    std::uint32_t peak_mw = 0;  // PEP at the transmitter
    std::string mode;           // word of the mode's duty: "fm"
    std::uint32_t on_ms = 0;    // transmitting, then
    std::uint32_t off_ms = 0;   // listening
    std::uint32_t loss_mdb = 0;
    std::int32_t gain_mdb = 0;  // over isotropic
    std::uint32_t reflection_milli = 0;
    std::uint32_t distance_mm = 0;           // how near people come
    std::optional<std::uint32_t> height_mm;  // lowest part of the antenna above the ground
    std::optional<WorkedOut> worked;
    bool gone = false;  // the station is no more

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::name_bytes_max>(name), bounded<limits::line_bytes_max>(antenna),
           bounded<limits::line_bytes_max>(place), frequency_hz, peak_mw, bounded<limits::call_bytes_max>(mode), on_ms,
           off_ms, loss_mdb, gain_mdb, reflection_milli, distance_mm, height_mm, worked, gone);
    }
};

}  // namespace ladderline::protocol
