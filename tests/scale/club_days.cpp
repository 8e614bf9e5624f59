// When devices are on, when people write, and what a day came to.

#include <algorithm>

#include "tests/scale/club.hpp"

namespace ladderline::scale {
namespace {

constexpr std::uint32_t settle_for_s = hour_s;
constexpr std::uint32_t waking_from_s = 7 * hour_s;
constexpr std::uint32_t waking_until_s = 23 * hour_s;
constexpr unsigned saying_bits = 5;

}  // namespace

void Club::set_witness(Witness* witness) {
    witness_ = witness;
    for (std::uint32_t i = 0; i < seats_.size(); ++i) witness->seated(i, true);
}

void Club::plan(std::uint32_t at_s, What what, std::uint64_t number) {
    ENSURE(number < std::uint64_t{1} << number_bits);
    due_.emplace(at_s, static_cast<std::uint64_t>(what) << number_bits | number);
}

void Club::run() {
    const std::uint32_t end_s = plan_.days * day_s;
    weigh(out_.start);
    plan(0, What::day);
    plan(hour_s, What::hour);
    plan(0, What::months);
    for (std::size_t c = 0; c < couriers_each; ++c) plan_outage(c);
    for (std::uint32_t until_s = end_s;;) {
        while (!due_.empty() && due_.top().first < until_s) {
            const auto [at_s, packed] = due_.top();
            due_.pop();
            now_ = at_s;
            const auto number = static_cast<std::uint32_t>(packed & ((std::uint64_t{1} << number_bits) - 1));
            switch (static_cast<What>(packed >> number_bits)) {
                case What::day:
                    begin_day();
                    break;
                case What::hour:
                    end_hour();
                    break;
                case What::wake:
                    switch_on(number);
                    break;
                case What::visit:
                    on_visit_due(number / couriers_each, number % couriers_each);
                    break;
                case What::courier:
                    is_up_[number] = !is_up_[number];
                    if (is_up_[number]) plan_outage(number);
                    break;
                case What::going:
                    go();
                    break;
                case What::coming:
                    come();
                    break;
                case What::months:
                    plan_month();
                    break;
                case What::write: {
                    const std::uint32_t seat = number >> saying_bits;
                    if (is_settling_ || !seats_[seat].is_open) break;
                    say(seat, sayings()[number & ((1U << saying_bits) - 1)].plain_bytes);
                    on_news(seat);
                    break;
                }
            }
        }
        now_ = until_s;
        if (is_settling_) break;
        settle();
        until_s += settle_for_s;
    }
    out_.is_settled = all_hold_the_same();
}

void Club::plan_outage(std::size_t courier) {
    if (is_settling_) return;
    const auto up_s = static_cast<std::uint32_t>(exponential(dice_, plan_.assumed.up_days_mean * day_s));
    const auto down_s = static_cast<std::uint32_t>(1 + exponential(dice_, plan_.assumed.outage_s_mean));
    plan(now_ + up_s, What::courier, courier);
    plan(now_ + up_s + down_s, What::courier, courier);
}

void Club::begin_day() {
    if (now_ > 0) end_day();
    plan(now_ + day_s, What::day);
    const std::uint32_t day = now_ / day_s % 365;
    for (std::uint32_t i = 0; i < devices_.size(); ++i) {
        Device& device = devices_[i];
        if (device.left_s <= now_) continue;
        const HabitLine& habit = habits[static_cast<std::size_t>(device.habit)];
        if (device.habit == Habit::always) {
            const bool was_on = device.on_until_s >= now_ && now_ > 0;
            device.on_until_s = now_ + day_s;
            if (was_on) device.on.back().second = device.on_until_s;
            if (was_on) plan_words(i, now_ + waking_from_s, now_ + waking_until_s);
            if (!was_on) plan(now_, What::wake, i);
            continue;
        }
        if ((day + 365 - device.away_day) % 365 < plan_.assumed.away_days) continue;
        // Once a week is always the same day of it.
        const bool is_today =
            device.habit == Habit::weekly ? day % 7 == device.away_day % 7 : fraction(dice_) < habit.sessions_week / 7;
        if (!is_today) continue;
        plan(now_ + habit.from_s + static_cast<std::uint32_t>(dice_.below(habit.spread_s)), What::wake, i);
    }
}

void Club::switch_on(std::uint32_t number) {
    Device& device = devices_[number];
    if (device.left_s <= now_) return;
    const HabitLine& habit = habits[static_cast<std::size_t>(device.habit)];
    if (!is_settling_ && device.on_until_s <= now_) device.on_until_s = now_ + habit.length_s;
    if (!device.on.empty() && device.on.back().second >= now_) {
        device.on.back().second = device.on_until_s;
    } else {
        device.on.emplace_back(now_, device.on_until_s);
    }
    // One visit after the other.
    std::uint32_t turn = 0;
    for (const std::uint32_t seat : device.seats) {
        if (!seats_[seat].is_open) continue;
        for (std::size_t c = 0; c < couriers_each; ++c) {
            seats_[seat].channels[c].wait_s = 0;
            plan_visit(seat, c, now_ + 1 + turn++ / 4);
        }
    }
    const bool all_day = device.habit == Habit::always;
    plan_words(number, all_day ? now_ + waking_from_s : now_, all_day ? now_ + waking_until_s : device.on_until_s);
}

void Club::plan_words(std::uint32_t number, std::uint32_t from, std::uint32_t to) {
    if (is_settling_ || to <= from) return;
    const Device& device = devices_[number];
    const double sessions = habits[static_cast<std::size_t>(device.habit)].sessions_week;
    const bool shares = device.is_second || (number + 1 < devices_.size() && devices_[number + 1].owner == number &&
                                             devices_[number + 1].is_second);
    const double second = plan_.assumed.second_device_share;
    const double part = device.is_second ? second : shares ? 1 - second : 1;
    for (const std::uint32_t seat : device.seats) {
        if (!seats_[seat].is_open) continue;
        const Place place = circles_[seats_[seat].circle].place;
        for (std::size_t i = 0; i < sayings().size(); ++i) {
            const Saying& saying = sayings()[i];
            if (saying.place != place || saying.part != device.part) continue;
            const std::uint32_t count = poisson(dice_, saying.a_week * plan_.talk * part / sessions);
            for (std::uint32_t n = 0; n < count; ++n) {
                const auto at = from + static_cast<std::uint32_t>(dice_.below(to - from));
                plan(at, What::write, seat << saying_bits | i);
            }
        }
    }
}

void Club::end_day() {
    for (std::size_t i = 0; i < devices_.size(); ++i) {
        Device& device = devices_[i];
        if (device.is_second || (device.left_s <= now_ - day_s)) continue;
        Bytes2 day = std::exchange(device.day, {});
        for (std::size_t n = i + 1; n < devices_.size() && devices_[n].owner == i; ++n) {
            day += std::exchange(devices_[n].day, {});
        }
        out_.member_up.add(day.up);
        out_.member_down.add(day.down);
        out_.member_both.add(day.both());
        out_.people_days += 1;
    }
    for (std::size_t c = 0; c < couriers_each; ++c) {
        const Bytes2 day = std::exchange(courier_day_[c], {});
        out_.courier_up.add(day.up);
        out_.courier_down.add(day.down);
        out_.courier_visits.add(std::exchange(courier_day_visits_[c], 0));
    }
}

void Club::end_hour() {
    for (std::uint64_t& visits : courier_hour_visits_) out_.courier_hour_visits.add(std::exchange(visits, 0));
    plan(now_ + hour_s, What::hour);
}

// The last hour: what could fail does not, and everybody is on.
void Club::settle() {
    end_day();
    weigh(out_.end);
    is_settling_ = true;
    is_up_.fill(true);
    for (std::uint32_t i = 0; i < devices_.size(); ++i) {
        if (devices_[i].left_s <= now_) continue;
        devices_[i].on_until_s = now_ + settle_for_s;
        switch_on(i);
    }
}

bool Club::all_hold_the_same() const {
    return std::all_of(seats_.begin(), seats_.end(), [&](const Seat& seat) {
        const Circle& circle = circles_[seat.circle];
        return !seat.is_open ||
               (seat.held.hash == circle.at_courier[0].hash && seat.held.hash == circle.at_courier[1].hash);
    });
}

// What devices keep, before the last hour. Desks that need no sync are worked out, not simulated.
void Club::weigh(Weights& into) const {
    for (std::size_t i = 0; i < devices_.size(); ++i) {
        const Device& device = devices_[i];
        if (device.is_second || device.left_s <= now_) continue;
        std::uint64_t events = 0;
        std::uint64_t bytes = 0;
        bool has_desk = false;
        for (const std::uint32_t number : device.seats) {
            const Seat& seat = seats_[number];
            const Circle& circle = circles_[seat.circle];
            has_desk = has_desk || circle.place == Place::desk;
            for (std::size_t log = 0; log < seat.held.counts.size(); ++log) {
                for (std::size_t at = 0; at < seat.held.counts[log]; ++at) {
                    events += 1;
                    bytes += sealed_bytes(circle.logs[log].words[at]);
                }
            }
        }
        const double weeks = static_cast<double>(now_ - device.joined_s) / (7.0 * day_s);
        for (const Saying& saying : sayings()) {
            if (has_desk || saying.place != Place::desk || saying.part != device.part) continue;
            const auto said = static_cast<std::uint64_t>(saying.a_week * plan_.talk * weeks);
            events += said;
            bytes += said * (saying.plain_bytes + protocol::aead_tag_bytes);
        }
        into.device_events.add(events);
        into.device_body_bytes.add(bytes);
        into.device_circles.add(device.seats.size());
    }
    weigh_couriers(into);
}

void Club::weigh_couriers(Weights& into) const {
    for (std::size_t c = 0; c < couriers_each; ++c) {
        std::uint64_t used = 0;
        std::uint64_t places = 0;
        for (const Circle& circle : circles_) {
            used += circle.used_bytes[c];
            places += circle.is_open ? 1 : 0;
        }
        into.courier_events.add(arrivals_[c]);
        into.courier_used_bytes.add(used);
        into.courier_places.add(places);
    }
}

}  // namespace ladderline::scale
