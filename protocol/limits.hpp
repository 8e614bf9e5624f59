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
inline constexpr std::size_t heads_max = 20'000;     // logs of one circle that one message names
inline constexpr std::size_t circles_max = 64;       // circles that two peers share
inline constexpr std::size_t epoch_keys_max = 256;   // of one circle, given to a member who comes back; 64 circles fit
inline constexpr std::size_t name_bytes_max = 96;    // names of people, circles, devices
inline constexpr std::size_t call_bytes_max = 24;    // a call sign with its side marks
inline constexpr std::size_t line_bytes_max = 256;   // one line that a person wrote
inline constexpr std::size_t text_bytes_max = 4096;  // a note that a person wrote
inline constexpr std::size_t items_max = 400;        // ladder items named in one event
inline constexpr std::size_t list_max = 64;          // topics, bands, windows, devices and the like
inline constexpr std::size_t bundle_bytes_max = 5'000'000;  // one part of a bundle; as text it still fits into a letter
inline constexpr std::size_t bundle_text_bytes_max = 64 * 1024 * 1024;  // a text that may hold bundles
inline constexpr std::size_t bundle_text_parts_max = 64;                // bundles in one text
inline constexpr std::size_t drop_files_max = 4096;                     // files of a drop folder that are looked at
inline constexpr std::size_t drop_bytes_max = 256 * 1024 * 1024;        // read from a drop folder in one look
inline constexpr std::size_t wrap_proof_max = 13;     // steps from one wrapped copy to the root: 8,192 copies a key
inline constexpr std::size_t wrap_copies_max = 8192;  // wrapped copies of one epoch key
inline constexpr std::size_t fork_links_max = 256;    // events of a log that one signature stands over
inline constexpr std::size_t tree_nodes_max = 4096;   // nodes of the head tree in one message
inline constexpr std::size_t probe_places_max = 64;   // places of a log that one probe names: each twice as far back
inline constexpr std::size_t flight_bytes_max = 1024 * 1024;  // runs under way in one direction, not yet acknowledged
inline constexpr std::size_t greeting_bytes_max = 33;         // a message before both people have said "same"
inline constexpr std::int64_t greeting_ms_max = 600'000;      // a door to strangers stays open; ten minutes of talk
inline constexpr std::int64_t compare_ms_max = 180'000;       // of these one stranger may take, letters and verdict
inline constexpr std::size_t greeting_failures_max = 3;       // letters that differed, or were left; then it is shut
inline constexpr std::size_t couriers_max = 2;                // of one circle; more cost every member a call each
inline constexpr std::size_t courier_former_max = 16;    // access keys of before whose holders may still ask for copies
inline constexpr std::size_t courier_accesses_max = 4;   // rounds of keys tried on one visit
inline constexpr std::size_t courier_places_max = 4096;  // circles that one courier keeps
inline constexpr std::size_t courier_wraps_bytes_max = 8 * 1024 * 1024;  // kept copies of one circle: 8,192 and more
inline constexpr std::uint64_t courier_log_day_bytes_max =
    std::uint64_t{64} * 1024 * 1024;  // by which one log may grow at a courier within a day; beyond it: later
inline constexpr std::uint64_t courier_quota_mib_max = 1024 * 1024;  // what a keeper may promise one circle: 1 TiB
inline constexpr std::uint32_t courier_days_max = 3650;              // without a visit, before everything is removed
inline constexpr std::uint64_t seq_max = std::uint64_t{1} << 62;     // no log gets there; leaves room for arithmetic

}  // namespace ladderline::protocol::limits
