#include "node/domain/clock/doubt.hpp"

#include <algorithm>
#include <array>

namespace ladderline::domain {
namespace {

constexpr std::int64_t day_ms = 86'400'000;
constexpr std::size_t named_max = 3;

constexpr std::string_view kept =
    " Nothing is lost, and what was said keeps its order; only days and times may be shown wrongly until the clock is "
    "right.";
constexpr std::string_view to_do =
    " Set the clock of this machine ('timedatectl' shows it), and look over contacts that you wrote down meanwhile.";

// The years that a date can be written of, and that differences cannot overflow in.
WallTime within_reason(WallTime t) {
    constexpr std::int64_t last_ms = 253'402'300'799'999;  // 9999-12-31T23:59:59.999Z
    return {std::clamp<std::int64_t>(t.ms, 0, last_ms)};
}

// "Tuesday, 3 March 2026".
std::string to_day(WallTime t) {
    static constexpr std::array<std::string_view, 7> weekdays{"Thursday", "Friday",  "Saturday", "Sunday",
                                                              "Monday",   "Tuesday", "Wednesday"};
    static constexpr std::array<std::string_view, 12> months{"January",   "February", "March",    "April",
                                                             "May",       "June",     "July",     "August",
                                                             "September", "October",  "November", "December"};
    const Day day = utc_day(within_reason(t));
    const std::string iso = to_iso(day);
    const auto weekday = static_cast<std::size_t>(day.number % 7);  // day 0 was a Thursday
    const auto month = static_cast<std::size_t>((iso[5] - '0') * 10 + (iso[6] - '0') - 1);
    const std::string number = iso[8] == '0' ? iso.substr(9, 1) : iso.substr(8, 2);
    return std::string(weekdays[weekday]) + ", " + number + " " + std::string(months[month]) + " " + iso.substr(0, 4);
}

// "Tuesday, 3 March 2026, 19:05 UTC".
std::string to_day_and_time(WallTime t) {
    return to_day(t) + ", " + to_iso_minute(within_reason(t)).substr(11, 5) + " UTC";
}

// Those of `others` that are beyond the margin in one direction.
std::vector<OtherClock> beyond(const std::vector<OtherClock>& others, bool ahead) {
    std::vector<OtherClock> out;
    for (const OtherClock& other : others) {
        if (ahead ? other.ahead_ms > clock_margin_ms : other.ahead_ms < -clock_margin_ms) out.push_back(other);
    }
    std::sort(out.begin(), out.end(), [](const OtherClock& a, const OtherClock& b) { return a.ahead_ms < b.ahead_ms; });
    return out;
}

std::string names(const std::vector<OtherClock>& them) {
    std::string out;
    const std::size_t shown = std::min(them.size(), named_max);
    for (std::size_t i = 0; i < shown; ++i) {
        if (i > 0) out += i + 1 == shown && shown == them.size() ? " and " : ", ";
        out += them[i].whose;
    }
    if (them.size() > shown) out += " and " + std::to_string(them.size() - shown) + " more";
    return out;
}

ClockDoubt against_own(const ClockFacts& facts, const std::vector<OtherClock>& them) {
    const std::int64_t middle_ms = them[them.size() / 2].ahead_ms;
    return {ClockSign::most_others, "This machine's clock says " + to_day_and_time(facts.now) + ", but those of " +
                                        names(them) + " say about " + to_day_and_time({facts.now.ms + middle_ms}) +
                                        ", so this one is most likely wrong." + std::string(kept) + std::string(to_do)};
}

ClockDoubt between_two(const ClockFacts& facts, const OtherClock& other, std::size_t agreeing) {
    std::string out = "By the clock of " + other.whose + " it is " + to_day_and_time({facts.now.ms + other.ahead_ms}) +
                      ", by this machine's " + to_day_and_time(facts.now) + "; one of the two clocks is wrong.";
    if (agreeing > 0) {
        out += agreeing == 1 ? " One other machine agrees" : " " + std::to_string(agreeing) + " other machines agree";
        out += " with this one: tell them.";
    } else {
        out += " Look at both.";
    }
    return {ClockSign::some_others, out + std::string(kept)};
}

ClockDoubt among_several(const ClockFacts& facts, const std::vector<OtherClock>& them) {
    return {ClockSign::some_others, "By this machine's clock it is " + to_day_and_time(facts.now) + "; the clocks of " +
                                        names(them) + " say something else. Look at yours, and tell them." +
                                        std::string(kept)};
}

std::optional<ClockDoubt> from_others(const ClockFacts& facts, std::size_t agreeing) {
    const std::vector<OtherClock> ahead = beyond(facts.others, true);
    const std::vector<OtherClock> behind = beyond(facts.others, false);
    const std::vector<OtherClock>& more = ahead.size() >= behind.size() ? ahead : behind;
    const std::size_t against = facts.others.size() - more.size();
    if (more.size() >= 2 && more.size() > against) return against_own(facts, more);
    if (ahead.size() + behind.size() == 0) return std::nullopt;
    if (ahead.size() + behind.size() == 1) return between_two(facts, more.front(), agreeing);
    std::vector<OtherClock> all = behind;
    all.insert(all.end(), ahead.begin(), ahead.end());
    return among_several(facts, all);
}

}  // namespace

std::int64_t ahead_ms(WallTime theirs, WallTime ours) {
    return within_reason(theirs).ms - within_reason(ours).ms;
}

std::optional<ClockDoubt> clock_doubt(const ClockFacts& facts) {
    if (facts.made && facts.now.ms < facts.made->ms - day_ms) {
        return ClockDoubt{ClockSign::before_program, "This machine's clock says " + to_day_and_time(facts.now) +
                                                         ", but this program was made on " + to_day(*facts.made) +
                                                         ", so the clock is wrong." + std::string(kept) +
                                                         std::string(to_do)};
    }
    const auto agreeing =
        static_cast<std::size_t>(std::count_if(facts.others.begin(), facts.others.end(), [](const OtherClock& other) {
            return other.ahead_ms >= -clock_margin_ms && other.ahead_ms <= clock_margin_ms;
        }));
    std::optional<ClockDoubt> by_others = from_others(facts, agreeing);
    if (by_others && by_others->sign == ClockSign::most_others) return by_others;
    if (agreeing == 0 && facts.own_newest && facts.now.ms < facts.own_newest->ms - clock_margin_ms) {
        return ClockDoubt{ClockSign::before_own_words,
                          "This machine's clock says " + to_day_and_time(facts.now) +
                              ", but what you wrote here last is dated " + to_day_and_time(*facts.own_newest) +
                              ": the clock is wrong now, or was then." + std::string(kept) +
                              " If it is right now, there is nothing to do; this line goes as you write on."};
    }
    return by_others;
}

}  // namespace ladderline::domain
