#pragma once
// One log as its author writes it, with every slip that an author could make.

#include "protocol/event/chain.hpp"

namespace ladderline::test {

class LogWriter {
public:
    // A log of an existing circle.
    LogWriter(const protocol::CircleId& circle, const protocol::SignKeys& device, Random& random)
        : random_(random), device_(device), circle_(circle) {
        opening_ = {protocol::DeviceId{device.pub.data}, random.draw<protocol::LogSalt>(), false};
        log_ = protocol::log_id_of(circle, opening_);
    }
    // A log whose first event founds a circle.
    LogWriter(const protocol::SignKeys& device, Random& random) : random_(random), device_(device) {
        opening_ = {protocol::DeviceId{device.pub.data}, random.draw<protocol::LogSalt>(), true};
        log_ = protocol::log_id_of({}, opening_);
    }

    protocol::EventId write(const protocol::AeadKey& key, const protocol::Body& body,
                            std::vector<protocol::EventId> ctl = {}) {
        const protocol::CircleId circle = protocol::header_circle(circle_, opening_, tip_.next_seq);
        const protocol::EventPlace place{circle, log_, tip_.next_seq, tip_.head, std::move(ctl)};
        events_.push_back(protocol::make_event(place, body, key, device_.secret, random_));
        before_.push_back(tip_);
        const protocol::EventId id = protocol::id_of(events_.back().header);
        if (opening_.founding && tip_.next_seq == 0) circle_.data = id.data;
        tip_ = {tip_.next_seq + 1, id, events_.back().header.key, events_.back().header.ctl};
        return id;
    }
    protocol::EventId write_note(const protocol::AeadKey& key, std::string_view text,
                                 std::vector<protocol::EventId> ctl = {}) {
        return write(key, {{{1'700'000'000'000}, 0}, 53, {}, to_bytes(as_bytes(text))}, std::move(ctl));
    }
    // A signature that fits nothing; the chain after it stays whole, since ids do not hang on signatures.
    void spoil_signature(std::size_t seq) { events_.at(seq).signature.data[5] ^= 1; }

    // Events [first, first + count) as they travel, whatever their signatures.
    protocol::Run run(std::size_t first, std::size_t count) const {
        protocol::Run out{log_, first == 0 ? std::optional(opening_) : std::nullopt, first, {}};
        protocol::ChainTip at = before_.at(first);
        for (std::size_t i = first; i < first + count; ++i) {
            const protocol::Event& e = events_.at(i);
            protocol::RunEvent event{e.signature, e.header.salt, std::nullopt, std::nullopt, e.sealed};
            if (e.header.key != at.key) event.key = at.key = e.header.key;
            if (e.header.ctl != at.ctl) event.ctl = at.ctl = e.header.ctl;
            out.events.push_back(std::move(event));
        }
        return out;
    }
    protocol::Run run() const { return run(0, events_.size()); }

    const protocol::ChainTip& tip_before(std::size_t seq) const {
        return seq == events_.size() ? tip_ : before_.at(seq);
    }
    const std::vector<protocol::Event>& events() const { return events_; }
    const protocol::CircleId& circle() const { return circle_; }
    const protocol::LogId& log() const { return log_; }
    const protocol::LogOpening& opening() const { return opening_; }

private:
    Random& random_;
    const protocol::SignKeys& device_;
    protocol::CircleId circle_;
    protocol::LogOpening opening_;
    protocol::LogId log_;
    protocol::ChainTip tip_;
    std::vector<protocol::Event> events_;
    std::vector<protocol::ChainTip> before_;
};

}  // namespace ladderline::test
