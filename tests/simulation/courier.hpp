#pragma once
// A station that keeps events without a key and passes them on. Whoever keeps couriers of another make gives the world
// another Station.

#include "tests/simulation/dice.hpp"
#include "tests/simulation/station.hpp"
#include "tests/support/protocol/memory_log.hpp"

namespace ladderline::simulation {

// Honest as it is; with `lies` it drops what it was given, keeps back logs, and spoils runs.
class Courier : public Station, public protocol::LogView {
public:
    Courier(std::string name, std::uint64_t seed, bool lies) : Station(std::move(name)), dice_(seed), lies_(lies) {
        held_.instance = dice_.draw<protocol::InstanceTag>();
    }

    bool is_up() const override { return true; }
    protocol::LogView& view() override { return *this; }
    bool lies() const { return lies_; }

    Result<std::vector<protocol::LogHead>> heads(const protocol::CircleId& circle) override {
        TRY(auto all, held_.heads(circle));
        std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.log < b.log; });
        if (lies_ && !all.empty() && dice_.chance(30))
            all.erase(all.begin() + static_cast<std::ptrdiff_t>(dice_.below(all.size())));
        return all;
    }
    Result<protocol::Run> read_run(const protocol::CircleId& circle, const protocol::LogId& log,
                                   std::uint64_t first_seq) override {
        TRY(auto run, held_.read_run(circle, log, first_seq));
        if (lies_ && dice_.chance(10)) {
            Bytes& sealed = dice_.pick(run.events).sealed;
            if (!sealed.empty()) dice_.pick(sealed) ^= 1;
        }
        return run;
    }
    Result<protocol::Appended> append_run(const protocol::CircleId& circle, const protocol::Run& run) override {
        if (lies_ && dice_.chance(20)) return protocol::Appended::stored;
        return held_.append_run(circle, run);
    }
    Result<std::uint64_t> next_seq(const protocol::CircleId& circle, const protocol::LogId& log) override {
        return held_.next_seq(circle, log);
    }
    Result<std::optional<protocol::EventId>> event_id(const protocol::CircleId& circle, const protocol::LogId& log,
                                                      std::uint64_t seq) override {
        return held_.event_id(circle, log, seq);
    }
    Result<std::optional<protocol::ForkProof>> fork_proof(const protocol::CircleId& circle,
                                                          const protocol::LogId& log) override {
        if (lies_ && dice_.chance(10)) return std::optional<protocol::ForkProof>();
        return held_.fork_proof(circle, log);
    }
    Result<bool> append_fork_proof(const protocol::CircleId& circle, const protocol::ForkProof& proof) override {
        if (lies_ && dice_.chance(20)) return true;
        return held_.append_fork_proof(circle, proof);
    }
    Result<std::optional<protocol::Position>> position() override { return held_.position(); }
    Result<std::vector<protocol::LogChange>> changes_since(const protocol::CircleId& circle,
                                                           std::uint64_t arrival) override {
        return held_.changes_since(circle, arrival);
    }
    Result<std::optional<protocol::Cursor>> cursor_for(const protocol::CircleId& circle,
                                                       const protocol::PeerTag& peer) override {
        return held_.cursor_for(circle, peer);
    }
    Result<void> keep_cursor(const protocol::CircleId& circle, const protocol::PeerTag& peer,
                             const std::optional<protocol::Cursor>& cursor) override {
        return held_.keep_cursor(circle, peer, cursor);
    }

private:
    Dice dice_;
    bool lies_;
    test::MemoryLog held_;
};

}  // namespace ladderline::simulation
