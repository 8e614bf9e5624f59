#pragma once
// The memory twin of the event log: holds runs as a node would, opens nothing.

#include <algorithm>
#include <map>

#include "protocol/event/run_cutter.hpp"
#include "protocol/sync/log_view.hpp"

namespace ladderline::test {

class MemoryLog : public protocol::LogView {
public:
    Result<std::vector<protocol::LogHead>> heads(const protocol::CircleId& circle) override {
        ++reads;
        if (broken) return Error{Fault::disk, "The disk failed."};
        std::vector<protocol::LogHead> out;
        for (const auto& [id, log] : circles_[circle]) out.push_back(head_of(id, log));
        return out;
    }

    Result<protocol::Run> read_run(const protocol::CircleId& circle, const protocol::LogId& id,
                                   std::uint64_t first_seq) override {
        ++reads;
        if (broken) return Error{Fault::disk, "The disk failed."};
        const auto& logs = circles_[circle];
        const auto log = logs.find(id);
        if (log == logs.end() || first_seq >= counting(log->second)) {
            return Error{Fault::not_found, "There are no such events here."};
        }
        protocol::RunCutter cutter(id, log->second.opening, tip_before(log->second, first_seq));
        const std::size_t held = log->second.events.size();
        for (std::size_t seq = first_seq; seq < held && cutter.wants_more(seq < counting(log->second)); ++seq) {
            cutter.add(log->second.events[seq].event);
        }
        protocol::Run run = std::move(cutter).take();
        if (run.events.empty()) return Error{Fault::not_found, "No signature over these events is here."};
        return run;
    }

    Result<protocol::Appended> append_run(const protocol::CircleId& circle, const protocol::Run& run) override {
        auto& logs = circles_[circle];
        const auto known = logs.find(run.log);
        const std::size_t mine = known == logs.end() ? 0 : known->second.events.size();
        if (known != logs.end() && known->second.proof && run.first_seq >= known->second.proof->seq) {
            return protocol::Appended::known;
        }
        if (run.first_seq > mine) return protocol::Appended::gap;
        const protocol::LogOpening opening =
            known == logs.end() ? run.opening.value_or(protocol::LogOpening{}) : known->second.opening;
        protocol::ChainTip tip;
        if (known != logs.end()) tip = tip_before(known->second, run.first_seq);
        const auto result = protocol::check_run(circle, opening, tip, run);
        if (!result && run.first_seq > 0 && !run.events.empty()) return protocol::Appended::strange;
        TRY(const auto checked, result);
        for (std::size_t i = 0; i < checked.size(); ++i) {
            const std::size_t seq = checked[i].event.header.seq;
            if (known == logs.end() || seq >= counting(known->second)) break;
            if (known->second.events[seq].id == checked[i].id) continue;
            keep_proof(known->second, seq, {checked.begin() + static_cast<std::ptrdiff_t>(i), checked.end()});
            return protocol::Appended::forked;
        }
        const bool is_ended = known != logs.end() && known->second.proof && mine >= known->second.proof->seq;
        if (checked.back().event.header.seq < mine || is_ended) return protocol::Appended::known;
        if (lose_next > 0) {
            --lose_next;
            return protocol::Appended::known;  // a store that says it has what it has not
        }
        Log& log = logs[run.log];
        log.opening = opening;
        std::span<const protocol::CheckedEvent> fresh = checked;
        fresh = fresh.subspan(mine - run.first_seq);
        if (log.proof) fresh = fresh.first(protocol::kept_at_fork(fresh, log.proof->seq - mine, opening));
        for (const protocol::CheckedEvent& e : fresh) {
            log.events.push_back(e);
            log.arrivals.push_back(++arrivals_);
        }
        return protocol::Appended::stored;
    }

    // The first events of a log as another twin checked and holds them: at most so many, no fork of it. What this one
    // held of the log goes.
    void copy_events(const MemoryLog& from, const protocol::CircleId& circle, const protocol::LogId& id,
                     std::size_t count) {
        const Log& whole = from.circles_.at(circle).at(id);
        Log& log = circles_[circle][id];
        log = Log{whole.opening, {}, {}, std::nullopt, 0};
        for (std::size_t i = 0; i < std::min(count, whole.events.size()); ++i) {
            log.events.push_back(whole.events[i]);
            log.arrivals.push_back(++arrivals_);
        }
    }

    Result<std::uint64_t> next_seq(const protocol::CircleId& circle, const protocol::LogId& id) override {
        const auto& logs = circles_[circle];
        const auto log = logs.find(id);
        return log == logs.end() ? std::uint64_t{0} : std::uint64_t{counting(log->second)};
    }

    Result<std::optional<protocol::EventId>> event_id(const protocol::CircleId& circle, const protocol::LogId& id,
                                                      std::uint64_t seq) override {
        const auto& logs = circles_[circle];
        const auto log = logs.find(id);
        if (log == logs.end() || seq >= counting(log->second)) return std::optional<protocol::EventId>();
        return std::optional(log->second.events[seq].id);
    }

    Result<std::optional<protocol::ForkProof>> fork_proof(const protocol::CircleId& circle,
                                                          const protocol::LogId& id) override {
        const auto& logs = circles_[circle];
        const auto log = logs.find(id);
        return log == logs.end() ? std::nullopt : log->second.proof;
    }

    Result<bool> append_fork_proof(const protocol::CircleId& circle, const protocol::ForkProof& proof) override {
        Log& log = circles_[circle][protocol::log_of(circle, proof)];
        if (log.proof && log.proof->seq <= proof.seq) return false;
        log.opening = proof.opening;
        log.proof = proof;
        log.proof_arrival = ++arrivals_;
        return true;
    }

    Result<std::optional<protocol::Position>> position() override {
        if (instance.is_zero()) return std::optional<protocol::Position>();
        return std::optional(protocol::Position{instance, arrivals_});
    }

    Result<std::vector<protocol::LogChange>> changes_since(const protocol::CircleId& circle,
                                                           std::uint64_t arrival) override {
        std::vector<protocol::LogChange> out;
        for (const auto& [id, log] : circles_[circle]) {
            const auto first = std::upper_bound(log.arrivals.begin(), log.arrivals.end(), arrival);
            if (first == log.arrivals.end() && log.proof_arrival <= arrival) continue;
            const protocol::LogHead head = head_of(id, log);
            const auto from = static_cast<std::uint64_t>(first - log.arrivals.begin());
            out.push_back({head, std::min(from, head.next_seq)});
        }
        return out;
    }

    Result<std::optional<protocol::Cursor>> cursor_for(const protocol::CircleId& circle,
                                                       const protocol::PeerTag& peer) override {
        const auto found = cursors.find({circle, peer});
        return found == cursors.end() ? std::nullopt : std::optional(found->second);
    }

    Result<void> keep_cursor(const protocol::CircleId& circle, const protocol::PeerTag& peer,
                             const std::optional<protocol::Cursor>& cursor) override {
        cursors.erase({circle, peer});
        if (cursor) cursors.emplace(std::pair(circle, peer), *cursor);
        return ok();
    }

    std::size_t event_count(const protocol::CircleId& circle) {
        std::size_t sum = 0;
        for (const auto& [id, log] : circles_[circle]) sum += counting(log);
        return sum;
    }

    bool broken = false;             // every read fails
    std::size_t lose_next = 0;       // so many runs are taken and lost
    std::size_t reads = 0;           // calls of heads() and read_run()
    protocol::InstanceTag instance;  // zeros: a view without a position
    std::map<std::pair<protocol::CircleId, protocol::PeerTag>, protocol::Cursor> cursors;

private:
    struct Log {
        protocol::LogOpening opening;
        std::vector<protocol::CheckedEvent> events;
        std::vector<std::uint64_t> arrivals;  // of the events
        std::optional<protocol::ForkProof> proof;
        std::uint64_t proof_arrival = 0;
    };

    static std::size_t counting(const Log& log) {
        const std::size_t held = log.events.size();
        return log.proof ? std::min<std::size_t>(held, log.proof->seq) : held;
    }

    static protocol::LogHead head_of(const protocol::LogId& id, const Log& log) {
        const std::size_t next = counting(log);
        protocol::LogHead out{id, next, next == 0 ? protocol::EventId{} : log.events[next - 1].id};
        if (log.proof) out.fork = log.proof->seq;
        return out;
    }

    void keep_proof(Log& log, std::size_t seq, std::vector<protocol::CheckedEvent> theirs) {
        if (log.proof && log.proof->seq <= seq) return;
        const auto first = log.events.begin() + static_cast<std::ptrdiff_t>(seq);
        auto proof = protocol::prove_fork(log.opening, {first, log.events.end()}, theirs);
        if (!proof) return;
        log.proof = std::move(proof);
        log.proof_arrival = ++arrivals_;
    }

    static protocol::ChainTip tip_before(const Log& log, std::size_t seq) {
        protocol::ChainTip tip;
        if (seq == 0) return tip;
        const protocol::CheckedEvent& last = log.events.at(seq - 1);
        return {seq, last.id, last.event.header.key, last.event.header.ctl};
    }

    std::map<protocol::CircleId, std::map<protocol::LogId, Log>> circles_;
    std::uint64_t arrivals_ = 0;
};

}  // namespace ladderline::test
