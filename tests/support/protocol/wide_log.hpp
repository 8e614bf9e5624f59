#pragma once
// A circle of thousands of long logs without their weight: a common past that both nodes hold and nobody looks into,
// and real, signed events after it.

#include <algorithm>
#include <map>
#include <memory>

#include "protocol/event/run_cutter.hpp"
#include "protocol/sync/log_view.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {

struct WideCircle {
    struct Log {
        protocol::SignKeys device;
        protocol::LogOpening opening;
        protocol::LogId id;
        protocol::ChainTip tip;  // where the common past ends
        std::vector<protocol::CheckedEvent> after;
    };

    // `past`: events of each log before the real ones.
    WideCircle(std::size_t log_count, std::uint64_t past, std::uint64_t seed) : random(seed) {
        for (std::size_t i = 0; i < log_count; ++i) {
            Log log{protocol::make_sign_keys(random), {}, {}, {}, {}};
            log.opening = {protocol::DeviceId{log.device.pub.data}, random.draw<protocol::LogSalt>(), false};
            log.id = protocol::log_id_of(circle, log.opening);
            if (past > 0) log.tip = {past, random.draw<protocol::EventId>(), protocol::id_of_key(key), {}};
            logs.push_back(std::move(log));
        }
        std::sort(logs.begin(), logs.end(), [](const Log& a, const Log& b) { return a.id < b.id; });
    }
    // One more event with a plain body of so many bytes. Gives its 91 + length, as the goals count it.
    std::size_t write(std::size_t log_number, std::size_t plain_bytes) {
        Log& log = logs.at(log_number);
        protocol::ChainTip at = log.tip;
        if (!log.after.empty()) at = {log.tip.next_seq + log.after.size(), log.after.back().id, {}, {}};
        protocol::Body body{{{1'764'097'500'000}, 0}, 53, {}, {}};
        while (protocol::codec::encode(body).size() < plain_bytes) body.payload.push_back('x');
        ENSURE(protocol::codec::encode(body).size() == plain_bytes);
        protocol::Event event =
            protocol::make_event({circle, log.id, at.next_seq, at.head, {}}, body, key, log.device.secret, random);
        const protocol::EventId id = protocol::id_of(event.header);
        log.after.push_back({id, std::move(event)});
        return 91 + plain_bytes;
    }

    SeededRandom random;
    protocol::CircleId circle = random.draw<protocol::CircleId>();
    protocol::AeadKey key = protocol::AeadKey::random(random);
    std::vector<Log> logs;  // in order of id
};

class WideLog : public protocol::LogView {
public:
    WideLog(const WideCircle& world, std::uint8_t instance) : world_(world), held_(world.logs.size()) {
        instance_.data[0] = instance;
    }
    // As if it had come with an earlier sync.
    void hold(std::size_t log_number, std::size_t events) {
        while (held_[log_number].size() < events) held_[log_number].push_back(++arrivals_);
    }

    Result<std::vector<protocol::LogHead>> heads(const protocol::CircleId& circle) override {
        std::vector<protocol::LogHead> out;
        if (circle != world_.circle) return out;
        for (std::size_t i = 0; i < held_.size(); ++i) {
            if (head_of(i).next_seq > 0) out.push_back(head_of(i));
        }
        return out;
    }
    Result<protocol::Run> read_run(const protocol::CircleId&, const protocol::LogId& id,
                                   std::uint64_t first_seq) override {
        const std::size_t i = number_of(id);
        const WideCircle::Log& log = world_.logs[i];
        const std::size_t first = first_seq - log.tip.next_seq;
        protocol::ChainTip before = log.tip;
        before.next_seq = first_seq;
        if (first > 0) before.key = protocol::id_of_key(world_.key);
        protocol::RunCutter cutter(id, log.opening, before);
        for (std::size_t at = first; at < held_[i].size() && cutter.wants_more(); ++at) cutter.add(log.after[at].event);
        return std::move(cutter).take();
    }
    Result<protocol::Appended> append_run(const protocol::CircleId& circle, const protocol::Run& run) override {
        const std::size_t i = number_of(run.log);
        const WideCircle::Log& log = world_.logs[i];
        if (run.first_seq != log.tip.next_seq + held_[i].size()) return protocol::Appended::known;
        protocol::ChainTip tip = log.tip;
        if (!held_[i].empty()) tip = {run.first_seq, head_of(i).head, protocol::id_of_key(world_.key), {}};
        TRY(const auto checked, protocol::check_run(circle, log.opening, tip, run));
        for (std::size_t n = 0; n < checked.size(); ++n) held_[i].push_back(++arrivals_);
        return protocol::Appended::stored;
    }
    Result<std::uint64_t> next_seq(const protocol::CircleId&, const protocol::LogId& id) override {
        return head_of(number_of(id)).next_seq;
    }
    Result<std::optional<protocol::EventId>> event_id(const protocol::CircleId&, const protocol::LogId& id,
                                                      std::uint64_t seq) override {
        const std::size_t i = number_of(id);
        const WideCircle::Log& log = world_.logs[i];
        if (seq + 1 == log.tip.next_seq) return std::optional(log.tip.head);
        const std::size_t at = seq - log.tip.next_seq;
        if (seq < log.tip.next_seq || at >= held_[i].size()) return std::optional<protocol::EventId>();
        return std::optional(log.after[at].id);
    }
    Result<std::optional<protocol::Position>> position() override {
        return std::optional(protocol::Position{instance_, arrivals_});
    }
    Result<std::vector<protocol::LogChange>> changes_since(const protocol::CircleId&, std::uint64_t arrival) override {
        std::vector<protocol::LogChange> out;
        for (std::size_t i = 0; i < held_.size(); ++i) {
            const auto first = std::upper_bound(held_[i].begin(), held_[i].end(), arrival);
            if (first == held_[i].end()) continue;
            const auto count = static_cast<std::uint64_t>(first - held_[i].begin());
            out.push_back({head_of(i), world_.logs[i].tip.next_seq + count});
        }
        return out;
    }
    Result<std::optional<protocol::Cursor>> cursor_for(const protocol::CircleId& circle,
                                                       const protocol::PeerTag& peer) override {
        const auto found = cursors_.find({circle, peer});
        return found == cursors_.end() ? std::nullopt : std::optional(found->second);
    }
    Result<void> keep_cursor(const protocol::CircleId& circle, const protocol::PeerTag& peer,
                             const std::optional<protocol::Cursor>& cursor) override {
        cursors_.erase({circle, peer});
        if (cursor) cursors_.emplace(std::pair(circle, peer), *cursor);
        return ok();
    }
    void forget_cursors() { cursors_.clear(); }

private:
    std::size_t number_of(const protocol::LogId& id) const {
        const auto& logs = world_.logs;
        const auto found = std::lower_bound(
            logs.begin(), logs.end(), id, [](const WideCircle::Log& a, const protocol::LogId& b) { return a.id < b; });
        ENSURE(found != logs.end() && found->id == id);
        return static_cast<std::size_t>(found - logs.begin());
    }
    protocol::LogHead head_of(std::size_t i) const {
        const WideCircle::Log& log = world_.logs[i];
        const std::size_t count = held_[i].size();
        return {log.id, log.tip.next_seq + count, count == 0 ? log.tip.head : log.after[count - 1].id};
    }

    const WideCircle& world_;
    protocol::InstanceTag instance_;
    std::uint64_t arrivals_ = 1'000'000;
    std::vector<std::vector<std::uint64_t>> held_;  // arrivals of the real events, by log
    std::map<std::pair<protocol::CircleId, protocol::PeerTag>, protocol::Cursor> cursors_;
};

}  // namespace ladderline::test
