#include "node/domain/review/hard_dates.hpp"

#include <algorithm>
#include <cstdlib>
#include <tuple>

namespace ladderline::domain {
namespace {

std::string in_days(int days) {
    if (days == 0) return "today";
    const std::string count = std::to_string(std::abs(days)) + (std::abs(days) == 1 ? " day" : " days");
    return days > 0 ? "in " + count : count + " ago";
}

std::optional<Pin> certificate_pin(const HardDateFacts& person, const Clocks& clocks, Day today) {
    if (!person.certificate_exam_day) return {};
    const Day last = *person.certificate_exam_day + clocks.certificate_safe_days;
    const std::int32_t left = days_between(today, last);
    if (left > certificate_pinned_days) return {};
    return Pin{person.id, last, left,
               "The last safe day of the exam certificate is " + to_iso(last) + " (" + in_days(left) + ")."};
}

std::optional<Pin> fee_pin(const HardDateFacts& person, const Clocks& clocks, Day today) {
    if (!person.fee_due_since) return {};
    const Day last = *person.fee_due_since + clocks.fee_last_days;
    const std::int32_t left = days_between(today, last);
    return Pin{person.id, last, left,
               "The application fee is unpaid; the application is dismissed after " + to_iso(last) + " (" +
                   in_days(left) + ")."};
}

}  // namespace

std::vector<Pin> hard_dates(std::span<const HardDateFacts> people, const Clocks& clocks, Day today) {
    std::vector<Pin> out;
    for (const HardDateFacts& person : people) {
        for (auto& pin : {certificate_pin(person, clocks, today), fee_pin(person, clocks, today)}) {
            if (pin) out.push_back(*pin);
        }
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const Pin& a, const Pin& b) { return std::tie(a.day, a.id) < std::tie(b.day, b.id); });
    return out;
}

}  // namespace ladderline::domain
