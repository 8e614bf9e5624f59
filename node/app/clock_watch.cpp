#include "node/app/clock_watch.hpp"

#include <algorithm>

namespace ladderline::node {

using namespace protocol;

ClockWatch::ClockWatch(Context& context, std::optional<WallTime> made, std::function<bool(const DhPublic&)> was_in_step)
    : context_(context), made_(made), was_in_step_(std::move(was_in_step)) {}

void ClockWatch::start() {
    const auto arrivals = context_.log.arrivals();
    if (arrivals) arrivals_ = arrivals.value();
    look();
}

std::int64_t ClockWatch::drift_ms() const {
    return context_.now().ms - context_.env.clock.monotonic().ms;
}

// Words that were not written just now can only show that a clock was ahead of this one; later words of the same device
// that are not take that back.
void ClockWatch::take(const ClockWord& word) {
    const std::int64_t ahead = domain::ahead_ms(word.said, context_.now());
    if (was_in_step_(word.noise) || ahead > domain::clock_margin_ms) {
        heard_[word.device] = {word.whose, ahead, drift_ms()};
        return;
    }
    const auto before = heard_.find(word.device);
    if (before != heard_.end() && before->second.ahead_ms > domain::clock_margin_ms) heard_.erase(before);
}

void ClockWatch::on_settled(const CircleId& circle) {
    const auto [seen, first] = seen_.try_emplace(circle, arrivals_);
    const auto words = clock_words(context_, circle, seen->second);
    const auto arrivals = context_.log.arrivals();
    if (!words || !arrivals) return;
    seen->second = arrivals.value();
    if (words.value().empty()) return;
    for (const ClockWord& word : words.value()) take(word);
    look();
}

void ClockWatch::look() {
    // After a jump of this machine's own clock (it was set, or the machine slept) nothing compares any more.
    const std::int64_t now_drift = drift_ms();
    std::erase_if(heard_, [&](const auto& one) {
        const std::int64_t jump = now_drift - one.second.drift_ms;
        return jump > domain::clock_margin_ms / 3 || jump < -domain::clock_margin_ms / 3;
    });
    std::vector<domain::OtherClock> others;
    for (const auto& [device, heard] : heard_) others.push_back({heard.whose, heard.ahead_ms});
    static_cast<void>(look_at_clock(context_, {made_, std::move(others)}).has_value());
}

}  // namespace ladderline::node
