#pragma once
// The memory twin of the event log: holds runs as a node would, opens nothing.

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
        for (const auto& [id, log] : circles_[circle]) out.push_back({id, log.events.size(), log.events.back().id});
        return out;
    }

    Result<protocol::Run> read_run(const protocol::CircleId& circle, const protocol::LogId& id,
                                   std::uint64_t first_seq) override {
        ++reads;
        if (broken) return Error{Fault::disk, "The disk failed."};
        const auto& logs = circles_[circle];
        const auto log = logs.find(id);
        if (log == logs.end() || first_seq >= log->second.events.size()) {
            return Error{Fault::not_found, "There are no such events here."};
        }
        protocol::RunCutter cutter(id, log->second.opening, tip_before(log->second, first_seq));
        for (std::size_t seq = first_seq; seq < log->second.events.size() && cutter.wants_more(); ++seq) {
            cutter.add(log->second.events[seq].event);
        }
        return std::move(cutter).take();
    }

    Result<protocol::Appended> append_run(const protocol::CircleId& circle, const protocol::Run& run) override {
        auto& logs = circles_[circle];
        const auto known = logs.find(run.log);
        const std::size_t mine = known == logs.end() ? 0 : known->second.events.size();
        if (run.first_seq > mine) return protocol::Appended::gap;
        const protocol::LogOpening opening =
            known == logs.end() ? run.opening.value_or(protocol::LogOpening{}) : known->second.opening;
        protocol::ChainTip tip;
        if (known != logs.end()) tip = tip_before(known->second, run.first_seq);
        TRY(const auto checked, protocol::check_run(circle, opening, tip, run));
        for (const protocol::CheckedEvent& e : checked) {
            const std::size_t seq = e.event.header.seq;
            if (seq < mine && known->second.events[seq].id != e.id) return protocol::Appended::forked;
        }
        if (checked.back().event.header.seq < mine) return protocol::Appended::known;
        if (lose_next > 0) {
            --lose_next;
            return protocol::Appended::known;  // a store that says it has what it has not
        }
        Log& log = logs[run.log];
        log.opening = opening;
        for (const protocol::CheckedEvent& e : checked) {
            if (e.event.header.seq >= mine) log.events.push_back(e);
        }
        return protocol::Appended::stored;
    }

    Result<std::uint64_t> next_seq(const protocol::CircleId& circle, const protocol::LogId& id) override {
        const auto& logs = circles_[circle];
        const auto log = logs.find(id);
        return log == logs.end() ? std::uint64_t{0} : std::uint64_t{log->second.events.size()};
    }

    Result<std::optional<protocol::EventId>> event_id(const protocol::CircleId& circle, const protocol::LogId& id,
                                                      std::uint64_t seq) override {
        const auto& logs = circles_[circle];
        const auto log = logs.find(id);
        if (log == logs.end() || seq >= log->second.events.size()) return std::optional<protocol::EventId>();
        return std::optional(log->second.events[seq].id);
    }

    std::size_t event_count(const protocol::CircleId& circle) {
        std::size_t sum = 0;
        for (const auto& [id, log] : circles_[circle]) sum += log.events.size();
        return sum;
    }

    bool broken = false;        // every read fails
    std::size_t lose_next = 0;  // so many runs are taken and lost
    std::size_t reads = 0;      // calls of heads() and read_run()

private:
    struct Log {
        protocol::LogOpening opening;
        std::vector<protocol::CheckedEvent> events;
    };

    static protocol::ChainTip tip_before(const Log& log, std::size_t seq) {
        protocol::ChainTip tip;
        if (seq == 0) return tip;
        const protocol::CheckedEvent& last = log.events.at(seq - 1);
        return {seq, last.id, last.event.header.key, last.event.header.ctl};
    }

    std::map<protocol::CircleId, std::map<protocol::LogId, Log>> circles_;
};

}  // namespace ladderline::test
