#pragma once
// Dates that do not move, pinned above the list of those who need help and never summed into a score.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "protocol/base/time.hpp"

namespace ladderline::domain {

// Lengths in days; the club may change them.
struct HardDateLengths {
    int certificate_safe_days = 364;  // a certificate counts for 365 days; the last of them is cut fine
    int certificate_pinned_days = 60;
    int certificate_red_days = 30;
    int exam_soon_days = 14;
    double exam_chance_min = 0.6;
    int fee_days = 10;
    int fee_red_days = 2;
};

struct HardDateFacts {
    std::string id;
    // Day of the exam that gave the certificate of completion; none if there is none, or it has been used.
    std::optional<Day> certificate_exam_day;
    std::optional<Day> exam_booked_on;
    std::optional<double> pass_chance;  // 0 to 1, if the person shares it
    // Day the application was given a file number, while its fee is unpaid.
    std::optional<Day> fee_due_since;
    // Day the fee was paid or the application sent, while the grant is pending.
    std::optional<Day> grant_pending_since;
};

enum class HardDate : std::uint8_t {
    certificate_ends,  // last safe day: exam day + 364
    exam_soon,         // within 14 days, with a chance to pass under 0.6
    fee_unpaid,        // the application is dismissed after 10 days
    grant_late,        // pending longer than nine of ten grants of this club took
};

struct Pin {
    std::string id;
    HardDate kind = HardDate::certificate_ends;
    Day day;            // the date itself; for grant_late the day it was due
    int days_left = 0;  // negative once past
    bool is_red = false;
    std::string sentence;
};

// `grant_days_90`: 90 % point of the club's own waits for a grant, in days; none while there are too few.
// Red first, then the nearer date, then by id. A certificate is pinned from `certificate_pinned_days` before its last
// safe day; a booked exam with a low chance, and a late grant, are always red.
std::vector<Pin> hard_dates(std::span<const HardDateFacts> people, std::optional<double> grant_days_90, Day today,
                            const HardDateLengths& lengths = {});

}  // namespace ladderline::domain
