// The text of the clocks (node/rules/clocks.tsv): remarks begin with #, then a heading, then one line a clock:
//   name <tab> length <tab> min <tab> max <tab> unit <tab> kind <tab> meaning <tab> source
// length, min and max are whole numbers, min <= length <= max; unit: days | years; kind: hard | soft. Every clock
// stands once, in any order. Of the pairs in `ascending` the first may not be longer than the second.

#include "node/domain/licence/clocks.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <utility>

#include "embedded/rules.hpp"
#include "node/domain/rules/table_text.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

using Length = std::int32_t Clocks::*;

struct Known {
    std::string_view name;
    Length length;
};

constexpr std::array<Known, 26> known_clocks{{
    {"fee-reminder-1", &Clocks::fee_reminder_1_days},
    {"fee-reminder-2", &Clocks::fee_reminder_2_days},
    {"fee-reminder-3", &Clocks::fee_reminder_3_days},
    {"fee-last", &Clocks::fee_last_days},
    {"grant-expected", &Clocks::grant_expected_days},
    {"official-copy", &Clocks::official_copy_days},
    {"first-contact-target", &Clocks::first_contact_target_days},
    {"first-contact-alarm", &Clocks::first_contact_alarm_days},
    {"second-contact", &Clocks::second_contact_days},
    {"touch-early", &Clocks::touch_early_days},
    {"touch-early-until", &Clocks::touch_early_until_days},
    {"touch-middle", &Clocks::touch_middle_days},
    {"touch-middle-until", &Clocks::touch_middle_until_days},
    {"touch-later", &Clocks::touch_later_days},
    {"review-1", &Clocks::review_1_days},
    {"review-2", &Clocks::review_2_days},
    {"review-3", &Clocks::review_3_days},
    {"quiet", &Clocks::quiet_days},
    {"certificate-safe", &Clocks::certificate_safe_days},
    {"certificate-doubtful", &Clocks::certificate_doubtful_days},
    {"temporary-authority", &Clocks::temporary_authority_days},
    {"new-privilege", &Clocks::new_privilege_days},
    {"licence-term", &Clocks::licence_term_years},
    {"renewal-window", &Clocks::renewal_window_days},
    {"grace", &Clocks::grace_years},
    {"consent-ahead", &Clocks::consent_ahead_days},
}};

// Each clock of a row is not longer than the next.
constexpr std::array<std::array<std::string_view, 2>, 9> ascending{{
    {"fee-reminder-1", "fee-reminder-2"},
    {"fee-reminder-2", "fee-reminder-3"},
    {"fee-reminder-3", "fee-last"},
    {"first-contact-target", "first-contact-alarm"},
    {"touch-early-until", "touch-middle-until"},
    {"review-1", "review-2"},
    {"review-2", "review-3"},
    {"certificate-safe", "certificate-doubtful"},
    {"grace", "licence-term"},
}};

constexpr std::string_view heading = "name\tlength\tmin\tmax\tunit\tkind\tmeaning\tsource";

const Known* known(std::string_view name) {
    const auto at = std::find_if(known_clocks.begin(), known_clocks.end(), [&](auto& k) { return k.name == name; });
    return at != known_clocks.end() ? &*at : nullptr;
}

Error bad_line(int number, const std::string& what) {
    return {Fault::bad_input, "Line " + std::to_string(number) + " of the clocks " + what + "; nothing was changed."};
}

std::optional<std::int32_t> whole_number(std::string_view text) {
    std::int32_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || value < 0) return {};
    return value;
}

Result<ClockLine> read_line(const NumberedLine& line) {
    const auto fields = tab_fields(line.text);
    if (fields.size() != 8) return bad_line(line.number, "must have 8 fields");
    if (known(fields[0]) == nullptr) {
        return bad_line(line.number, "names '" + std::string(fields[0]) + "', which is no clock");
    }
    const auto length = whole_number(fields[1]);
    const auto min = whole_number(fields[2]);
    const auto max = whole_number(fields[3]);
    if (!length || !min || !max) return bad_line(line.number, "needs three whole numbers: length, least and most");
    if (*length < *min || *length > *max) return bad_line(line.number, "has a length out of its range");
    if (fields[4] != "days" && fields[4] != "years") return bad_line(line.number, "must count days or years");
    if (fields[5] != "hard" && fields[5] != "soft") return bad_line(line.number, "must say hard or soft");
    if (fields[6].empty() || fields[7].empty()) return bad_line(line.number, "lacks its meaning or its source");
    return ClockLine{std::string(fields[0]),
                     *length,
                     *min,
                     *max,
                     std::string(fields[4]),
                     fields[5] == "hard",
                     std::string(fields[6]),
                     std::string(fields[7])};
}

Result<std::vector<ClockLine>> read_lines(std::string_view text) {
    std::vector<ClockLine> out;
    bool headed = false;
    for (const NumberedLine& line : numbered_lines(text)) {
        if (line.text.starts_with("#")) continue;
        if (!headed && line.text != heading) return bad_line(line.number, "is not the heading of the clocks");
        if (!std::exchange(headed, true)) continue;
        TRY(auto clock, read_line(line));
        const bool twice = std::any_of(out.begin(), out.end(), [&](auto& c) { return c.name == clock.name; });
        if (twice) return bad_line(line.number, "repeats the clock '" + clock.name + "'");
        out.push_back(std::move(clock));
    }
    return out;
}

Result<void> check_order(const Clocks& clocks) {
    for (const auto& [shorter, longer] : ascending) {
        if (clocks.*known(shorter)->length <= clocks.*known(longer)->length) continue;
        return Error{Fault::bad_input, "The clock '" + std::string(shorter) + "' may not be longer than '" +
                                           std::string(longer) + "'; nothing was changed."};
    }
    return ok();
}

}  // namespace

Result<Clocks> parse_clocks(std::string_view text) {
    TRY(const auto lines, read_lines(text));
    Clocks clocks;
    for (const ClockLine& line : lines) clocks.*known(line.name)->length = line.length;
    for (const Known& clock : known_clocks) {
        const bool there = std::any_of(lines.begin(), lines.end(), [&](auto& l) { return l.name == clock.name; });
        if (there) continue;
        return Error{Fault::bad_input, "The clock '" + std::string(clock.name) + "' is missing; nothing was changed."};
    }
    TRY(check_order(clocks));
    return clocks;
}

const std::vector<ClockLine>& shipped_clock_lines() {
    static const std::vector<ClockLine> lines = [] {
        auto read = read_lines(embedded::rules::f_clocks_tsv);
        ENSURE(read.has_value());
        return std::move(read).value();
    }();
    return lines;
}

const Clocks& shipped_clocks() {
    static const Clocks clocks = [] {
        auto parsed = parse_clocks(embedded::rules::f_clocks_tsv);
        ENSURE(parsed.has_value());
        return std::move(parsed).value();
    }();
    return clocks;
}

// --- single dates

Day years_after(Day day, std::int32_t years) {
    const std::chrono::year_month_day from{std::chrono::sys_days{std::chrono::days{day.number}}};
    const std::chrono::year_month_day same = from + std::chrono::years{years};
    const std::chrono::year_month_day to = same.ok() ? same : same.year() / same.month() / std::chrono::last;
    return {static_cast<std::int32_t>(std::chrono::sys_days{to}.time_since_epoch().count())};
}

CertificateDay certificate_on(Day passed, Day use, const Clocks& clocks) {
    const std::int32_t age_days = days_between(passed, use);
    if (age_days < 0 || age_days > clocks.certificate_doubtful_days) return CertificateDay::over;
    return age_days <= clocks.certificate_safe_days ? CertificateDay::safe : CertificateDay::doubtful;
}

Day licence_expiry(Day grant, const Clocks& clocks) {
    return years_after(grant, clocks.licence_term_years);
}

Day renewal_opens(Day expiry, const Clocks& clocks) {
    return expiry + -clocks.renewal_window_days;
}

Day grace_ends(Day expiry, const Clocks& clocks) {
    return years_after(expiry, clocks.grace_years);
}

bool must_be_silent(Day expiry, Day today) {
    return today > expiry;
}

Day next_touch(Day pairing_start, std::optional<Day> last_touch, const Clocks& clocks) {
    const Day from = last_touch ? std::max(*last_touch, pairing_start) : pairing_start;
    const std::int32_t age_days = days_between(pairing_start, from);
    if (age_days < clocks.touch_early_until_days) return from + clocks.touch_early_days;
    if (age_days < clocks.touch_middle_until_days) return from + clocks.touch_middle_days;
    return from + clocks.touch_later_days;
}

std::optional<Day> next_review(Day pairing_start, std::optional<Day> last_review, const Clocks& clocks) {
    for (const std::int32_t days : {clocks.review_1_days, clocks.review_2_days, clocks.review_3_days}) {
        const Day review = pairing_start + days;
        if (!last_review || *last_review < review) return review;
    }
    return {};
}

}  // namespace ladderline::domain
