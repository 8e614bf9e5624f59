#include "node/domain/review/hard_dates.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace ladderline::domain {
namespace {

std::string in_days(int days) {
    if (days == 0) return "today";
    const std::string count = std::to_string(std::abs(days)) + (std::abs(days) == 1 ? " day" : " days");
    return days > 0 ? "in " + count : count + " ago";
}

std::optional<Pin> certificate_pin(const HardDateFacts& person, Day today, const HardDateLengths& lengths) {
    if (!person.certificate_exam_day) return {};
    Pin pin{
        person.id, HardDate::certificate_ends, *person.certificate_exam_day + lengths.certificate_safe_days, 0, false,
        {}};
    pin.days_left = days_between(today, pin.day);
    if (pin.days_left > lengths.certificate_pinned_days) return {};
    pin.is_red = pin.days_left <= lengths.certificate_red_days;
    pin.sentence =
        "The last safe day of the exam certificate is " + to_iso(pin.day) + " (" + in_days(pin.days_left) + ").";
    return pin;
}

std::optional<Pin> exam_pin(const HardDateFacts& person, Day today, const HardDateLengths& lengths) {
    if (!person.exam_booked_on || !person.pass_chance || *person.pass_chance >= lengths.exam_chance_min) return {};
    Pin pin{person.id, HardDate::exam_soon, *person.exam_booked_on, days_between(today, *person.exam_booked_on), true,
            {}};
    if (pin.days_left < 0 || pin.days_left > lengths.exam_soon_days) return {};
    pin.sentence = "An exam is booked for " + to_iso(pin.day) + " (" + in_days(pin.days_left) +
                   "), and the chance to pass is put at " +
                   std::to_string(static_cast<int>(std::lround(100 * *person.pass_chance))) + " %.";
    return pin;
}

std::optional<Pin> fee_pin(const HardDateFacts& person, Day today, const HardDateLengths& lengths) {
    if (!person.fee_due_since) return {};
    Pin pin{person.id, HardDate::fee_unpaid, *person.fee_due_since + lengths.fee_days, 0, false, {}};
    pin.days_left = days_between(today, pin.day);
    pin.is_red = pin.days_left <= lengths.fee_red_days;
    pin.sentence = "The application fee is unpaid; the application is dismissed after " + to_iso(pin.day) + " (" +
                   in_days(pin.days_left) + ").";
    return pin;
}

std::optional<Pin> grant_pin(const HardDateFacts& person, std::optional<double> grant_days_90, Day today) {
    if (!person.grant_pending_since || !grant_days_90) return {};
    const int pending = days_between(*person.grant_pending_since, today);
    if (pending <= *grant_days_90) return {};
    const Day due = *person.grant_pending_since + static_cast<std::int32_t>(std::ceil(*grant_days_90));
    return Pin{person.id,
               HardDate::grant_late,
               due,
               days_between(today, due),
               true,
               "The grant has been pending for " + std::to_string(pending) +
                   " days, longer than nine of ten grants in this club took."};
}

}  // namespace

std::vector<Pin> hard_dates(std::span<const HardDateFacts> people, std::optional<double> grant_days_90, Day today,
                            const HardDateLengths& lengths) {
    std::vector<Pin> out;
    for (const HardDateFacts& person : people) {
        for (auto& pin : {certificate_pin(person, today, lengths), exam_pin(person, today, lengths),
                          fee_pin(person, today, lengths), grant_pin(person, grant_days_90, today)}) {
            if (pin) out.push_back(*pin);
        }
    }
    std::sort(out.begin(), out.end(), [](const Pin& a, const Pin& b) {
        return std::tuple{!a.is_red, a.day, a.id, a.kind} < std::tuple{!b.is_red, b.day, b.id, b.kind};
    });
    return out;
}

}  // namespace ladderline::domain
