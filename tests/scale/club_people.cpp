// Who is in the club, comes and goes.

#include <algorithm>

#include "tests/scale/club.hpp"

namespace ladderline::scale {
namespace {

constexpr std::uint32_t month_s = 30 * day_s;
constexpr std::uint32_t club = 0;
constexpr std::uint32_t registrar = 0;  // the first officer's device: took the places, lets people in, is always on

}  // namespace

Club::Club(const Plan& plan) : plan_(plan), dice_(simulation::mixed(plan.seed, plan.members)) {
    ENSURE(plan.members >= 10);
    found_club();
}

void Club::found_club() {
    Circle circle;
    circle.id = dice_.draw<CircleId>();
    circles_.push_back(std::move(circle));
    const auto share = [&](double of) {
        return std::max<std::uint32_t>(1, static_cast<std::uint32_t>(of * plan_.members));
    };
    const std::uint32_t officers = share(plan_.assumed.officers);
    const std::uint32_t mentors = share(plan_.assumed.mentors);
    for (std::uint32_t i = 0; i < officers; ++i) add_member(Part::officer);
    for (std::uint32_t i = 0; i < mentors; ++i) mentors_.push_back(add_member(Part::mentor));
    for (std::uint32_t i = officers + mentors; i < plan_.members; ++i) open_path(add_member(Part::newcomer));
    // The club is not new: everybody holds what let them in, and a card of each.
    const std::uint32_t founder = devices_[registrar].seats.front();
    for (std::size_t i = 1; i < devices_.size(); ++i) say(founder, control_bytes().admit, is_control);
    for (std::uint32_t i = 0; i < circles_.size(); ++i) make_known(i);
    for (Seat& seat : seats_) {
        for (std::size_t c = 0; c < couriers_each; ++c) {
            seat.channels[c].has_cursor = true;
            seat.channels[c].courier_arrivals = arrivals_[c];
        }
    }
    is_up_.fill(true);
    out_ = {};
}

std::uint32_t Club::add_device(Part part, std::uint32_t owner, bool is_second) {
    Device device;
    const auto number = static_cast<std::uint32_t>(devices_.size());
    device.owner = is_second ? owner : number;
    device.part = part;
    device.is_second = is_second;
    device.joined_s = now_;
    device.away_day = static_cast<std::uint32_t>(dice_.below(365));
    double draw = fraction(dice_);
    std::size_t habit = 0;
    while (habit + 1 < habits.size() && draw >= habits[habit].share) draw -= habits[habit++].share;
    device.habit = static_cast<Habit>(habit);
    if (is_second) device.habit = Habit::often;
    if (number == registrar) device.habit = Habit::always;
    devices_.push_back(std::move(device));
    return number;
}

std::uint32_t Club::add_member(Part part) {
    const std::uint32_t device = add_device(part, 0, false);
    const std::uint32_t seat = take_seat(device, club);
    say(seat, control_bytes().card);
    if (device != registrar && fraction(dice_) < plan_.assumed.second_device) add_second_device(device);
    return device;
}

// With a desk circle of two logs; nobody else's desk needs a sync.
void Club::add_second_device(std::uint32_t owner) {
    const std::uint32_t second = add_device(devices_[owner].part, owner, true);
    take_seat(second, club);
    Circle desk;
    desk.place = Place::desk;
    desk.id = dice_.draw<CircleId>();
    const auto number = static_cast<std::uint32_t>(circles_.size());
    circles_.push_back(std::move(desk));
    const std::uint32_t first_seat = take_seat(owner, number);
    say(first_seat, control_bytes().found, is_control);
    take_seat(second, number);
}

std::uint32_t Club::take_seat(std::uint32_t device, std::uint32_t circle) {
    Circle& in = circles_[circle];
    Seat seat;
    seat.device = device;
    seat.circle = circle;
    seat.log = in.add_log(dice_);
    seat.epoch = in.epoch;
    in.seats += 1;
    const auto number = static_cast<std::uint32_t>(seats_.size());
    seats_.push_back(std::move(seat));
    devices_[device].seats.push_back(number);
    if (witness_ != nullptr) witness_->seated(number, false);
    return number;
}

std::uint32_t Club::mentor_with_room() {
    return *std::min_element(mentors_.begin(), mentors_.end(),
                             [&](std::uint32_t a, std::uint32_t b) { return devices_[a].paths < devices_[b].paths; });
}

// The newcomer's way, with one mentor or two; all their devices are in it.
void Club::open_path(std::uint32_t newcomer) {
    Circle path;
    path.place = Place::path;
    path.id = dice_.draw<CircleId>();
    const auto number = static_cast<std::uint32_t>(circles_.size());
    circles_.push_back(std::move(path));
    std::vector<std::uint32_t> people{newcomer};
    const std::size_t mentors = fraction(dice_) < plan_.assumed.triples ? 2 : 1;
    for (std::size_t i = 0; i < mentors; ++i) {
        const std::uint32_t mentor = mentor_with_room();
        if (std::find(people.begin(), people.end(), mentor) != people.end()) break;
        devices_[mentor].paths += 1;
        people.push_back(mentor);
    }
    const std::size_t known = devices_.size();
    for (const std::uint32_t person : people) {
        for (std::uint32_t device = person; device < known; ++device) {
            if (devices_[device].owner != person) continue;
            const std::uint32_t seat = take_seat(device, number);
            if (device == newcomer) say(seat, control_bytes().found, is_control);
            if (device == newcomer) {
                for (std::size_t i = 1; i < people.size(); ++i) say(seat, control_bytes().admit, is_control);
            }
            // Paths alone hear of paper keys.
            if (device == person) say(seat, control_bytes().paper_box, is_control);
            if (devices_[device].on_until_s > now_) on_news(seat);
        }
    }
}

// Everybody in the circle and both couriers hold all of it.
void Club::make_known(std::uint32_t number) {
    Circle& circle = circles_[number];
    Holding all;
    all.grow(circle.logs.size());
    std::uint32_t control = 0;
    for (std::size_t i = 0; i < circle.logs.size(); ++i) {
        std::vector<Word>& words = circle.logs[i].words;
        all.set(i, static_cast<std::uint16_t>(words.size()));
        for (Word& word : words) {
            control += (word.flags & is_control) != 0 ? 1 : 0;
            word.readers = 0;
            for (std::size_t c = 0; c < couriers_each; ++c) {
                circle.used_bytes[c] += sealed_bytes(word) + 256;
                arrivals_[c] += 1;
            }
        }
        circle.logs[i].ctl_said = 0;
    }
    circle.at_courier.fill(all);
    for (Seat& seat : seats_) {
        if (seat.circle != number) continue;
        seat.held = all;
        seat.control = control;
        for (Channel& channel : seat.channels) channel.same = all;
    }
    for (Log& log : circle.logs) log.ctl_said = control;
}

void Club::plan_month() {
    goings_owed_ += plan_.assumed.going_month * plan_.members;
    for (; goings_owed_ >= 1; goings_owed_ -= 1) {
        plan(now_ + static_cast<std::uint32_t>(dice_.below(month_s)), What::going);
        plan(now_ + static_cast<std::uint32_t>(dice_.below(month_s)), What::coming);
    }
    plan(now_ + month_s, What::months);
}

// A newcomer leaves: the registrar says so in the club and brings a new key with it; the way ends.
void Club::go() {
    std::vector<std::uint32_t> present;
    for (std::uint32_t i = 0; i < devices_.size(); ++i) {
        const Device& device = devices_[i];
        if (device.part == Part::newcomer && !device.is_second && device.left_s > now_) present.push_back(i);
    }
    if (present.empty() || is_settling_) return;
    const std::uint32_t gone = dice_.pick(present);
    for (std::uint32_t i = gone; i < devices_.size(); ++i) {
        if (devices_[i].owner != gone) continue;
        devices_[i].left_s = now_;
        for (const std::uint32_t seat : devices_[i].seats) leave_circle(seat);
    }
    const std::uint32_t officer = devices_[registrar].seats.front();
    say(officer, control_bytes().remove, is_control);
    say(officer, control_bytes().rotate, is_control | is_rotation);
    on_news(officer);
    rotation_times_.push_back(now_);
    out_.rotations += 1;
    out_.gone += 1;
}

// Who is gone is waited for no longer; a path or desk ends with its owner.
void Club::leave_circle(std::uint32_t number) {
    Seat& seat = seats_[number];
    Circle& circle = circles_[seat.circle];
    if (!seat.is_open) return;
    seat.is_open = false;
    circle.seats -= 1;
    seat.held.grow(circle.logs.size());
    if (circle.place != Place::club) {
        circle.is_open = false;
        for (Log& log : circle.logs) {
            for (Word& word : log.words) word.readers = std::min(word.readers, word.got);
        }
        for (Seat& other : seats_) {
            if (other.circle != seat.circle || !other.is_open) continue;
            other.is_open = false;
            Device& mentor = devices_[other.device];
            if (mentor.part == Part::mentor && !mentor.is_second) mentor.paths -= mentor.paths > 0 ? 1 : 0;
        }
        return;
    }
    for (std::size_t i = 0; i < circle.logs.size(); ++i) {
        std::vector<Word>& words = circle.logs[i].words;
        for (std::size_t at = seat.held.counts[i]; at < words.size(); ++at) {
            Word& word = words[at];
            if (word.got >= word.readers || word.written_s < devices_[seat.device].joined_s) continue;
            word.readers -= 1;
            if (word.got == word.readers && word.got > 0) delays_of(circle).all.add(word.last_s - word.written_s);
        }
    }
}

void Club::come() {
    if (is_settling_) return;
    const std::uint32_t officer = devices_[registrar].seats.front();
    say(officer, control_bytes().admit, is_control);
    on_news(officer);
    const std::uint32_t member = add_member(Part::newcomer);
    open_path(member);
    // The first evening: on now, for two hours.
    for (std::uint32_t i = member; i < devices_.size(); ++i) {
        if (devices_[i].owner != member || devices_[i].on_until_s > now_) continue;
        devices_[i].on_until_s = now_ + 2 * hour_s;
        switch_on(i);
    }
    out_.joined += 1;
}

}  // namespace ladderline::scale
