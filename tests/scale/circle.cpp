#include "tests/scale/circle.hpp"

#include <algorithm>

namespace ladderline::scale {
namespace {

std::uint64_t mark(std::size_t log, std::uint16_t count) {
    return count == 0 ? 0 : simulation::mixed(log + 1, count);
}

}  // namespace

void Holding::set(std::size_t log, std::uint16_t count) {
    hash ^= mark(log, counts[log]) ^ mark(log, count);
    counts[log] = count;
}

std::uint32_t Circle::add_log(Dice& dice) {
    Log log;
    log.opening = {dice.draw<protocol::DeviceId>(), dice.draw<protocol::LogSalt>(), false};
    log.id = protocol::log_id_of(id, log.opening);
    const auto number = static_cast<std::uint32_t>(logs.size());
    const auto at = std::lower_bound(by_id.begin(), by_id.end(), log.id,
                                     [&](std::uint32_t one, const LogId& wanted) { return logs[one].id < wanted; });
    by_id.insert(at, number);
    logs.push_back(std::move(log));
    return number;
}

const Log* Circle::find(const LogId& log, std::uint32_t& number) const {
    const auto at = std::lower_bound(by_id.begin(), by_id.end(), log,
                                     [&](std::uint32_t one, const LogId& wanted) { return logs[one].id < wanted; });
    if (at == by_id.end() || logs[*at].id != log) return nullptr;
    number = *at;
    return &logs[*at];
}

EventId event_id_at(const Circle& circle, std::size_t log, std::size_t seq) {
    std::uint64_t first = 0;
    std::memcpy(&first, circle.logs[log].id.data.data(), sizeof first);
    Dice dice(first ^ (seq + 1));
    return dice.draw<EventId>();
}

}  // namespace ladderline::scale
