#include "protocol/event/run_cutter.hpp"

#include <algorithm>

namespace ladderline::protocol {

RunCutter::RunCutter(const LogId& log, const LogOpening& opening, const ChainTip& before)
    : opening_(opening), key_(before.key), ctl_(before.ctl) {
    run_.log = log;
    run_.first_seq = before.next_seq;
    if (before.next_seq == 0) run_.opening = opening;
}

bool RunCutter::wants_more(bool counts) {
    if (!counts && covered() == run_.events.size()) return false;
    if (bytes_ < limits::run_bytes_max && run_.events.size() < limits::run_events_max) return true;
    return covered() == 0 && run_.events.size() < limits::run_events_max;
}

void RunCutter::add(const Event& event) {
    RunEvent out{event.signature, event.header.salt, std::nullopt, std::nullopt, event.sealed};
    if (event.header.key != key_) out.key = key_ = event.header.key;
    if (event.header.ctl != ctl_) out.ctl = ctl_ = event.header.ctl;
    bytes_ += encoded_size(out);
    run_.events.push_back(std::move(out));
    ids_.push_back(id_of(event.header));
}

bool RunCutter::is_signed(std::size_t index) const {
    return verify(ids_[index].view(), run_.events[index].signature, signing_key(opening_.device));
}

std::size_t RunCutter::covered() {
    for (std::size_t count = ids_.size(); count > looked_at_; --count) {
        if (!is_signed(count - 1)) continue;
        covered_ = count;
        break;
    }
    looked_at_ = ids_.size();
    return covered_;
}

Run RunCutter::take() && {
    run_.events.resize(covered());
    return std::move(run_);
}

std::size_t kept_at_fork(std::span<const CheckedEvent> events, std::size_t counting, const LogOpening& opening) {
    std::size_t out = std::min(counting, events.size());
    const auto is_covered = [&] {
        const CheckedEvent& last = events[out - 1];
        return verify(last.id.view(), last.event.signature, signing_key(opening.device));
    };
    while (out > 0 && out < events.size() && !is_covered()) ++out;
    return out;
}

}  // namespace ladderline::protocol
