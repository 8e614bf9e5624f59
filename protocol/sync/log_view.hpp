#pragma once
// What a sync session asks of whatever holds the events. The store implements it; tests have a memory twin.

#include <vector>

#include "protocol/event/chain.hpp"

namespace ladderline::protocol {

struct RootTag;
using Root = FixedBytes<RootTag, 32>;

struct LogHead {
    LogId log;
    std::uint64_t next_seq = 0;
    EventId head;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(log, next_seq, head);
    }
    bool operator==(const LogHead&) const = default;
};

// Digest of all heads of a circle, given in order of log id. Equal roots: equal event sets.
Root root_of(const CircleId& circle, const std::vector<LogHead>& heads);

enum class Appended : std::uint8_t {
    stored,  // all or part was new and is now stored
    known,   // nothing new
    gap,     // the log's earlier events are missing here: ask for them
    forked,  // the log already holds another event at that place
};

class LogView {
public:
    virtual ~LogView() = default;
    // Every log of the circle that holds at least one event, in order of log id.
    virtual Result<std::vector<LogHead>> heads(const CircleId& circle) = 0;
    // Events of one log from `first_seq` on, cut as RunCutter says; never empty. not_found if there is none.
    virtual Result<Run> read_run(const CircleId& circle, const LogId& log, std::uint64_t first_seq) = 0;
    // Checks and stores in one step; read models follow in the same transaction. Fault::peer for bytes that break the
    // chain rule; Fault::disk if it could not be stored.
    virtual Result<Appended> append_run(const CircleId& circle, const Run& run) = 0;
    // Events of the log stored so far (0 if unknown).
    virtual Result<std::uint64_t> next_seq(const CircleId& circle, const LogId& log) = 0;
    // The id of one stored event; none if it is not here.
    virtual Result<std::optional<EventId>> event_id(const CircleId& circle, const LogId& log, std::uint64_t seq) = 0;
};

}  // namespace ladderline::protocol
