#pragma once
// Cuts stored events into runs that every receiver can admit. A receiver leaves out what follows the last valid
// signature of a run, so a run must end on one: an author may sign badly in the middle of a log, and the node that
// passes the events on must not be taken for the liar. Where the signature stands beyond a fork the run goes on to it,
// and whoever takes it in keeps as much.

#include <span>

#include "protocol/event/chain.hpp"

namespace ladderline::protocol {

class RunCutter {
public:
    // `before` is the tip just before the first event; `opening` is the log's own.
    RunCutter(const LogId& log, const LogOpening& opening, const ChainTip& before);

    // False once a run of limits::run_bytes_max that ends in a valid signature can be taken. A stretch of events
    // without one makes the run longer; it came in one message, so it goes out in one message. `counts`: the next event
    // stands before any fork; another is wanted only while no signature stands over all that was added.
    bool wants_more(bool counts = true);
    // The next event in order, as stored.
    void add(const Event& event);
    // The events up to the last valid signature. Without any the run is empty: those events cannot be passed on.
    Run take() &&;

private:
    bool is_signed(std::size_t index) const;
    // Events up to the last valid signature; looks only at those added since the last look.
    std::size_t covered();

    LogOpening opening_;
    KeyId key_;
    std::vector<EventId> ctl_;
    Run run_;
    std::vector<EventId> ids_;
    std::size_t bytes_ = 0;
    std::size_t covered_ = 0;
    std::size_t looked_at_ = 0;
};

// Of events that begin before a fork: how many to keep so that they can be passed on. The first `counting` of them, and
// those beyond the fork up to the first valid signature that stands over these.
std::size_t kept_at_fork(std::span<const CheckedEvent> events, std::size_t counting, const LogOpening& opening);

}  // namespace ladderline::protocol
