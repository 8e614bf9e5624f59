#pragma once
// Runs: consecutive events of one log as they travel, and the chain rule that admits them.
// A structural check reads bytes only; it needs no epoch key, no clock and no members.

#include <optional>

#include "protocol/event/event.hpp"

namespace ladderline::protocol {

// One event of a run. What the chain implies is left out; key and ctl stand only where they change.
struct RunEvent {
    Signature signature;
    EventSalt salt;
    std::optional<KeyId> key;
    std::optional<std::vector<EventId>> ctl;
    Bytes sealed;
};

struct Run {
    LogId log;
    std::optional<LogOpening> opening;  // present exactly when first_seq is 0
    std::uint64_t first_seq = 0;
    std::vector<RunEvent> events;
};

Bytes encode_run(const Run& run);
// All of a run but the log's id, for places that name the log in another way.
Bytes encode_run_body(const Run& run);
Result<Run> decode_run_body(const LogId& log, ByteView bytes);
// Bytes that the event takes inside an encoded run.
std::size_t encoded_size(const RunEvent& event);
Result<Run> decode_run(ByteView bytes);

// Where a log stands after its last good event.
struct ChainTip {
    std::uint64_t next_seq = 0;
    EventId head;              // all zeros while the log is empty
    KeyId key;                 // of the last event
    std::vector<EventId> ctl;  // of the last event

    bool operator==(const ChainTip&) const = default;
};

struct CheckedEvent {
    EventId id;
    Event event;
};

// Rebuilds headers and checks hashes, lengths and the signature that covers the run. An event is authentic if a valid
// signature of its device stands on it or on a later event of the same chain; events after the last valid signature
// are left out (they may come again). An empty run or a run without any valid signature is Fault::peer.
// Precondition: run.first_seq == tip.next_seq; `opening` is the log's own.
Result<std::vector<CheckedEvent>> check_run(const CircleId& circle, const LogOpening& opening, const ChainTip& tip,
                                            const Run& run);

// The header's circle field of event `seq`: zeros for event 0 of a founding log.
CircleId header_circle(const CircleId& circle, const LogOpening& opening, std::uint64_t seq);

}  // namespace ladderline::protocol
