#pragma once
// A view of another log: every question goes on to it, and whoever derives from this answers some of them anew. Two do
// not go on: the runs of a burst come to append_runs, where a view may judge them, and the order of logs is not known.

#include "protocol/sync/log_view.hpp"

namespace ladderline::protocol {

class ForwardedLog : public LogView {
public:
    // `log` outlives this.
    explicit ForwardedLog(LogView& log) : log_(log) {}

    Result<std::vector<LogHead>> heads(const CircleId& circle) override { return log_.heads(circle); }
    Result<Run> read_run(const CircleId& circle, const LogId& log, std::uint64_t first_seq) override {
        return log_.read_run(circle, log, first_seq);
    }
    Result<Appended> append_run(const CircleId& circle, const Run& run) override {
        return log_.append_run(circle, run);
    }
    Result<std::vector<Appended>> append_runs(const CircleId& circle, const std::vector<Run>& runs) override {
        return log_.append_runs(circle, runs);
    }
    Result<std::uint64_t> next_seq(const CircleId& circle, const LogId& log) override {
        return log_.next_seq(circle, log);
    }
    Result<std::optional<EventId>> event_id(const CircleId& circle, const LogId& log, std::uint64_t seq) override {
        return log_.event_id(circle, log, seq);
    }
    Result<std::optional<ForkProof>> fork_proof(const CircleId& circle, const LogId& log) override {
        return log_.fork_proof(circle, log);
    }
    Result<bool> append_fork_proof(const CircleId& circle, const ForkProof& proof) override {
        return log_.append_fork_proof(circle, proof);
    }
    Result<std::optional<Position>> position() override { return log_.position(); }
    Result<std::vector<LogChange>> changes_since(const CircleId& circle, std::uint64_t arrival) override {
        return log_.changes_since(circle, arrival);
    }
    Result<std::optional<Cursor>> cursor_for(const CircleId& circle, const PeerTag& peer) override {
        return log_.cursor_for(circle, peer);
    }
    Result<void> keep_cursor(const CircleId& circle, const PeerTag& peer,
                             const std::optional<Cursor>& cursor) override {
        return log_.keep_cursor(circle, peer, cursor);
    }

private:
    LogView& log_;
};

}  // namespace ladderline::protocol
