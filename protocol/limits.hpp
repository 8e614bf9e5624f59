#pragma once
// Every bound on foreign input, with its unit and the reason. Checked before memory is taken.

#include <cstddef>
#include <cstdint>

namespace ladderline::protocol::limits {

inline constexpr std::size_t body_bytes_max = 64 * 1024;  // one event's sealed body; larger things are cut into chunks
inline constexpr std::size_t run_events_max = 4096;       // consecutive events of one log in one message
inline constexpr std::size_t run_bytes_max = 256 * 1024;  // what a sender puts into one run before it starts another
inline constexpr std::size_t message_bytes_max =
    1024 * 1024;                                     // one sync message; holds a run and a head list of 20,000 logs
inline constexpr std::size_t control_heads_max = 8;  // `ctl` links of one event; more is no honest state
inline constexpr std::size_t superseded_max = 32;    // register writes that one write replaces
inline constexpr std::size_t heads_max = 20'000;     // logs of one circle in one head list
inline constexpr std::size_t circles_max = 64;       // circles that two peers share
inline constexpr std::size_t epoch_keys_max = 256;   // of one circle, given to a member who comes back; 64 circles fit
inline constexpr std::size_t name_bytes_max = 96;    // names of people, circles, devices
inline constexpr std::size_t call_bytes_max = 24;    // a call sign with its side marks
inline constexpr std::size_t line_bytes_max = 256;   // one line that a person wrote
inline constexpr std::size_t text_bytes_max = 4096;  // a note that a person wrote
inline constexpr std::size_t items_max = 400;        // ladder items named in one event
inline constexpr std::size_t list_max = 64;          // topics, bands, windows, devices and the like

}  // namespace ladderline::protocol::limits
