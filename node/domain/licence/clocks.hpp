#pragma once
// The deadlines of a newcomer's way. Lengths are data (node/rules/clocks.tsv); the functions are pure: known dates and
// today in, a list out.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

// Lengths in days unless the name says years. Defaults: clocks.tsv.
struct Clocks {
    std::int32_t fee_reminder_1_days = 0;
    std::int32_t fee_reminder_2_days = 0;
    std::int32_t fee_reminder_3_days = 0;
    std::int32_t fee_last_days = 0;
    std::int32_t grant_expected_days = 0;
    std::int32_t official_copy_days = 0;
    std::int32_t first_contact_target_days = 0;
    std::int32_t first_contact_alarm_days = 0;
    std::int32_t second_contact_days = 0;
    std::int32_t touch_early_days = 0;
    std::int32_t touch_early_until_days = 0;
    std::int32_t touch_middle_days = 0;
    std::int32_t touch_middle_until_days = 0;
    std::int32_t touch_later_days = 0;
    std::int32_t review_1_days = 0;
    std::int32_t review_2_days = 0;
    std::int32_t review_3_days = 0;
    std::int32_t quiet_days = 0;
    std::int32_t certificate_safe_days = 0;
    std::int32_t certificate_doubtful_days = 0;
    std::int32_t temporary_authority_days = 0;
    std::int32_t new_privilege_days = 0;
    std::int32_t licence_term_years = 0;
    std::int32_t renewal_window_days = 0;
    std::int32_t grace_years = 0;
    std::int32_t consent_ahead_days = 0;

    bool operator==(const Clocks&) const = default;
};

// Strict: every clock once, within its range. The first bad line is named by its number.
Result<Clocks> parse_clocks(std::string_view text);
// The lengths that come with the program.
const Clocks& shipped_clocks();

// One line of the file, for a page that shows them.
struct ClockLine {
    std::string name;
    std::int32_t length = 0;
    std::int32_t min = 0;
    std::int32_t max = 0;
    std::string unit;     // "days" or "years"
    bool hard = false;    // a rule of the regulator, not a custom of ours
    std::string meaning;  // a sentence
    std::string source;
};
// Those that come with the program, in the order of the file.
const std::vector<ClockLine>& shipped_clock_lines();

struct KnownDates {
    std::optional<Day> exam_booked;    // the next session
    std::optional<Day> pool_last_day;  // of the question pool studied from
    std::optional<Day> exam_passed;    // the day on the latest certificate
    bool licensed_at_exam = false;     // it was an upgrade: no fee, temporary authority, temporary identifier
    std::optional<Day> fee_notice;
    std::optional<Day> fee_paid;
    std::optional<Day> grant;          // first seen in the public register (first licence)
    std::optional<Day> class_visible;  // the register shows the new class (upgrade)
    std::optional<Day> official_copy_saved;
    std::optional<Day> licence_expires;  // as the register says; else worked out from the grant
    std::optional<Day> class_since;      // the first day on which the class held was granted
    std::optional<Day> first_contact;
    std::optional<Day> second_contact;
    std::optional<Day> last_contact;
    std::optional<Day> new_privilege_used;
    std::optional<Day> pairing_start;  // since when a mentor is there
    std::optional<Day> last_mentor_touch;
    std::optional<Day> consent_until;
    bool resting = false;  // hard clocks still show, soft ones are silent
};

enum class Due : std::uint8_t {
    pool_ends,             // the pool ends before the booked exam
    certificate_ends,      // last safe day of the certificate
    certificate_doubtful,  // shown on that one day only
    fee_reminder,
    fee_last_day,
    grant_expected,
    official_copy,
    temporary_identifier_ends,
    first_contact_target,
    first_contact_alarm,
    second_contact,
    new_privilege,
    mentor_touch,
    pairing_review,  // said with the pair (pair_reviews), and of no way
    quiet_note,
    renewal_opens,
    licence_ends,
    grace_ends,
    consent_ends,
    safeguarding_ends,  // said with the proposals, and of no way
    exam_day,           // booked and to come; the last, because calendars know entries by the number
};

struct DueLine {
    Due what = Due::fee_reminder;
    Day day;
    std::int32_t days_left = 0;  // negative: the day has gone by
    bool hard = false;
    std::string sentence;
};

// Everything that is running, soonest first (then in the order of Due).
std::vector<DueLine> due(const KnownDates& known, const Clocks& clocks, Day today);
// What the mentor sees to; the newcomer and the adults are not pressed with it.
bool is_for_mentor(Due what);

// --- The single dates, for pages that name one of them.

// The same date `years` later; 29 February becomes 28 February in a common year.
Day years_after(Day day, std::int32_t years);

enum class CertificateDay : std::uint8_t { safe, doubtful, over };
// Day 0 is the exam day. A certificate "from the future" is over as well: it cannot be used yet.
CertificateDay certificate_on(Day passed, Day use, const Clocks& clocks);

Day licence_expiry(Day grant, const Clocks& clocks);
Day renewal_opens(Day expiry, const Clocks& clocks);
// Last day on which an expired licence may still be renewed.
Day grace_ends(Day expiry, const Clocks& clocks);
// Between expiry and renewal: must be silent (47 CFR 97.21(b)).
bool must_be_silent(Day expiry, Day today);

// The next day on which the mentor should be in touch.
Day next_touch(Day pairing_start, std::optional<Day> last_touch, const Clocks& clocks);
// The next review of a pairing after `last_review` (or its start); empty after the third.
std::optional<Day> next_review(Day pairing_start, std::optional<Day> last_review, const Clocks& clocks);

}  // namespace ladderline::domain
