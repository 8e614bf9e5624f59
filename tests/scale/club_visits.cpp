// Visits to couriers, as node/net/courier_visits plans them, and what they bring.

#include <algorithm>

#include "tests/scale/club.hpp"

namespace ladderline::scale {
namespace {

constexpr std::uint32_t registrar_device = 0;
constexpr std::size_t ten_thousand = 10'000;
constexpr double half_share = 0.50;
constexpr double most_share = 0.95;

bool reaches(std::uint32_t got, std::uint32_t readers, double share) {
    const double wanted = share * readers;
    return got >= wanted && got - 1 < wanted;
}

}  // namespace

void Club::plan_visit(std::uint32_t seat, std::size_t courier, std::uint32_t at_s) {
    seats_[seat].channels[courier].next_s = at_s;
    plan(at_s, What::visit, std::uint64_t{seat} * couriers_each + courier);
}

void Club::on_visit_due(std::uint32_t number, std::size_t courier) {
    Seat& seat = seats_[number];
    Channel& channel = seat.channels[courier];
    if (channel.next_s != now_ || !seat.is_open) return;  // moved since, or over
    channel.next_s = 0;
    if (devices_[seat.device].on_until_s < now_) return;
    // News that the courier's receipt covers are none to it.
    if (std::exchange(channel.by_news, false) && seat.held.hash == channel.same.hash) {
        return after_success(number, courier);
    }
    if (!is_settling_ && (!is_up_[courier] || dice_.below(ten_thousand) < plan_.assumed.failed_calls)) {
        out_.failed += 1;
        return after_failure(number, courier);
    }
    visit(number, courier);
}

void Club::after_failure(std::uint32_t number, std::size_t courier) {
    Channel& channel = seats_[number].channels[courier];
    const Assumptions& times = plan_.assumed;
    channel.wait_s = channel.wait_s == 0 ? times.first_retry_s : std::min(2 * channel.wait_s, times.last_retry_s);
    channel.by_news = false;
    plan_visit(number, courier, now_ + channel.wait_s);
}

void Club::after_success(std::uint32_t number, std::size_t courier) {
    Channel& channel = seats_[number].channels[courier];
    channel.wait_s = 0;
    const auto spread = static_cast<std::uint32_t>(dice_.below(plan_.assumed.again_spread_s));
    plan_visit(number, courier, now_ + plan_.assumed.again_s + spread);
}

// The couriers hear of it a moment later, unless one that failed is waited for.
void Club::on_news(std::uint32_t number) {
    const std::uint32_t soon = now_ + plan_.assumed.after_news_s;
    if (devices_[seats_[number].device].on_until_s < soon) return;
    for (std::size_t c = 0; c < couriers_each; ++c) {
        Channel& channel = seats_[number].channels[c];
        if (channel.wait_s != 0 || (channel.next_s != 0 && channel.next_s <= soon)) continue;
        channel.by_news = true;
        plan_visit(number, c, soon);
    }
}

void Club::count_bytes(std::uint32_t number, std::size_t courier, const Bytes2& bytes) {
    devices_[seats_[number].device].day += bytes;
    courier_day_[courier] += bytes;
}

void Club::visit(std::uint32_t number, std::size_t courier) {
    Seat& seat = seats_[number];
    Circle& circle = circles_[seat.circle];
    Channel& channel = seat.channels[courier];
    Holding& there = circle.at_courier[courier];
    courier_day_visits_[courier] += 1;
    courier_hour_visits_[courier] += 1;
    bring_keys(number, courier);
    if (seat.held.hash != there.hash) {
        const bool is_cut = !is_settling_ && dice_.below(ten_thousand) < plan_.assumed.cut_calls;
        return differ(number, courier, is_cut);
    }
    out_.visits += 1;
    out_.equal += 1;
    const VisitFigures figures{VisitKind::equal, arrivals_[courier], 0, circle.used_bytes[courier]};
    const Bytes2 bytes = bytes_of(figures, {});
    out_.equal_bytes += bytes;
    count_bytes(number, courier, bytes);
    const bool same_as_before = channel.has_cursor && channel.same.hash == seat.held.hash;
    if (!same_as_before) channel.same = seat.held;
    channel.has_cursor = true;
    channel.courier_arrivals = arrivals_[courier];
    after_success(number, courier);
    if (witness_ != nullptr)
        witness_->visited(number, static_cast<std::uint32_t>(courier), VisitKind::equal, bytes, {});
}

void Club::differ(std::uint32_t number, std::size_t courier, bool is_cut) {
    Seat& seat = seats_[number];
    Circle& circle = circles_[seat.circle];
    Channel& channel = seat.channels[courier];
    seat.held.grow(circle.logs.size());
    channel.same.grow(circle.logs.size());
    circle.at_courier[courier].grow(circle.logs.size());
    VisitKind kind = channel.has_cursor ? VisitKind::cursor : VisitKind::tree;
    if (is_cut && channel.has_cursor) kind = VisitKind::cut;
    const Difference difference = difference_of(circle, seat, courier);
    const VisitFigures figures{kind, arrivals_[courier], arrivals_[courier] - channel.courier_arrivals,
                               circle.used_bytes[courier]};
    const Bytes2 bytes = bytes_of(figures, difference);
    out_.differing_bytes += bytes;
    out_.event_bytes += difference.events_bytes;
    count_bytes(number, courier, bytes);
    if (kind == VisitKind::cut) {
        out_.cut += 1;
        after_failure(number, courier);
    } else {
        out_.visits += 1;
        (kind == VisitKind::cursor ? out_.by_cursor : out_.by_tree) += 1;
        if (kind == VisitKind::cursor) check_formula(bytes, difference, figures);
        exchange(number, courier);
        after_success(number, courier);
        if (difference.events_down > 0) on_news(number);
    }
    if (witness_ != nullptr) witness_->visited(number, static_cast<std::uint32_t>(courier), kind, bytes, difference);
}

void Club::check_formula(const Bytes2& bytes, const Difference& difference, const VisitFigures& visit) {
    const Bytes2 equal = bytes_of({VisitKind::equal, visit.courier_arrivals, 0, visit.used_bytes}, {});
    const double beyond = static_cast<double>(bytes.both() - equal.both()) / formula_bytes(difference);
    out_.formula_visits += 1;
    out_.formula_held += beyond <= 1 ? 1 : 0;
    out_.formula_worst = std::max(out_.formula_worst, beyond);
}

// Both hold what either held.
void Club::exchange(std::uint32_t number, std::size_t courier) {
    Seat& seat = seats_[number];
    Circle& circle = circles_[seat.circle];
    Holding& there = circle.at_courier[courier];
    Channel& channel = seat.channels[courier];
    for (std::uint32_t i = 0; i < circle.logs.size(); ++i) {
        const std::uint16_t mine = seat.held.counts[i];
        const std::uint16_t theirs = there.counts[i];
        if (mine == theirs) continue;
        if (theirs > mine) {
            hear(seat, i, mine, theirs);
            seat.held.set(i, theirs);
            continue;
        }
        for (std::uint16_t at = theirs; at < mine; ++at) {
            circle.used_bytes[courier] += sealed_bytes(circle.logs[i].words[at]) + 256;
        }
        arrivals_[courier] += mine - theirs;
        there.set(i, mine);
    }
    channel.same = seat.held;
    channel.has_cursor = true;
    channel.courier_arrivals = arrivals_[courier];
}

void Club::hear(Seat& seat, std::uint32_t number, std::uint16_t from, std::uint16_t to) {
    Circle& circle = circles_[seat.circle];
    const Device& reader = devices_[seat.device];
    Log& log = circle.logs[number];
    for (std::uint16_t at = from; at < to; ++at) {
        Word& word = log.words[at];
        if ((word.flags & is_control) != 0) seat.control += 1;
        if ((word.flags & is_rotation) != 0 && ++seat.rotations > seat.epoch) {
            // The copy of the new key is asked for in the same visit.
            const Bytes2 bytes = KeyCosts(boxes()).fetched();
            out_.key_bytes += bytes;
            devices_[seat.device].day += bytes;
            seat.epoch = seat.rotations;
        }
        if (word.readers > 0 && word.written_s >= reader.joined_s) note_delivery(circle, reader, word);
    }
    if (is_settling_) out_.settle_s = now_ - plan_.days * day_s;
}

void Club::note_delivery(const Circle& circle, const Device& reader, Word& word) {
    word.got += 1;
    word.last_s = now_;
    Delays& delays = delays_of(circle);
    if (circle.place == Place::desk || is_settling_) return;
    const std::uint32_t delay = now_ - word.written_s;
    if (reaches(word.got, word.readers, half_share)) delays.half.add(delay);
    if (reaches(word.got, word.readers, most_share)) delays.most.add(delay);
    if (word.got == word.readers) delays.all.add(delay);
    std::uint32_t first_on = now_;
    for (auto on = reader.on.rbegin(); on != reader.on.rend() && on->second > word.written_s; ++on) {
        first_on = std::max(on->first, word.written_s);
    }
    delays.online.add(now_ - first_on);
}

// One more event of the seat's device.
void Club::say(std::uint32_t number, std::uint16_t plain_bytes, std::uint8_t flags) {
    Seat& seat = seats_[number];
    Circle& circle = circles_[seat.circle];
    Log& log = circle.logs[seat.log];
    seat.held.grow(circle.logs.size());
    if ((flags & is_rotation) != 0) seat.rotations = seat.epoch = ++circle.epoch;
    if (log.words.empty() || log.ctl_said != seat.control) flags |= names_ctl;
    if (log.words.empty() || log.key_said != seat.epoch) flags |= names_key;
    log.ctl_said = seat.control;
    log.key_said = seat.epoch;
    if ((flags & is_control) != 0) seat.control += 1;
    const auto count = static_cast<std::uint16_t>(log.words.size() + 1);
    ENSURE(log.words.size() < UINT16_MAX);
    log.words.push_back({now_, plain_bytes, flags, circle.seats - 1, 0, 0});
    seat.held.set(seat.log, count);
    switch (circle.place) {
        case Place::club:
            out_.club_words += 1;
            break;
        case Place::path:
            out_.path_words += 1;
            break;
        case Place::desk:
            out_.desk_words += 1;
            break;
    }
    if (witness_ != nullptr) witness_->wrote(number);
}

// Sealed copies of a new key: one for each device. Paper keys have copies on paths alone.
std::size_t Club::boxes() const {
    return circles_.front().seats;
}

// What keys cost at the door. Only the registrar renews the access key; whoever comes with an older one fetches the
// copies of what followed, as long as the courier remembers the key.
void Club::bring_keys(std::uint32_t number, std::size_t courier) {
    Seat& seat = seats_[number];
    Circle& circle = circles_[seat.circle];
    if (circle.place != Place::club || circle.epoch == 0) return;
    std::uint32_t& expected = circle.renewed[courier];
    Bytes2 bytes;
    if (seat.device == registrar_device && expected < seat.epoch) {
        const KeyCosts costs(boxes());
        const std::uint32_t fresh = seat.epoch - expected;
        for (std::uint32_t i = 0; i < fresh; ++i) bytes += costs.left_by_registrar(boxes());
        expected = seat.epoch;
    } else if (seat.epoch > expected) {
        bytes += KeyCosts::second_claim();
    } else if (seat.epoch < expected) {
        const KeyCosts costs(boxes());
        const std::uint32_t kept_since = now_ - std::min(now_, plan_.assumed.keep_days * day_s);
        std::size_t kept = 0;
        for (auto at = rotation_times_.rbegin(); at != rotation_times_.rend() && *at >= kept_since; ++at) ++kept;
        kept = std::min<std::size_t>(kept, protocol::limits::courier_wraps_bytes_max / (boxes() * costs.copy));
        bytes += costs.come_back_by_former_key(kept);
        if (expected - seat.epoch > protocol::limits::courier_former_max) out_.shut_out += 1;
        seat.epoch = expected;
    }
    out_.key_bytes += bytes;
    count_bytes(number, courier, bytes);
}

}  // namespace ladderline::scale
