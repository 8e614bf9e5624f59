#include "protocol/base/time.hpp"

#include <charconv>
#include <chrono>
#include <cstdio>

namespace ladderline {
namespace {

constexpr std::int64_t ms_per_day = 86'400'000;

std::int64_t floor_div(std::int64_t a, std::int64_t b) {
    return a / b - (a % b < 0 ? 1 : 0);
}

std::chrono::year_month_day civil(Day day) {
    return std::chrono::sys_days{std::chrono::days{day.number}};
}

// A field of exactly `text.size()` decimal digits, or -1.
int digits(std::string_view text) {
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const bool whole = error == std::errc{} && end == text.data() + text.size();
    return whole && text.front() != '-' ? value : -1;
}

}  // namespace

Day utc_day(WallTime t) {
    return {static_cast<std::int32_t>(floor_div(t.ms, ms_per_day))};
}

WallTime start_of(Day day) {
    return {std::int64_t{day.number} * ms_per_day};
}

std::string to_iso(Day day) {
    const auto date = civil(day);
    char out[24];
    std::snprintf(out, sizeof out, "%04d-%02u-%02u", static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                  static_cast<unsigned>(date.day()));
    return out;
}

std::string to_iso_second(WallTime t) {
    const Day day = utc_day(t);
    const auto second = static_cast<int>((t.ms - start_of(day).ms) / 1000);
    char out[32];
    std::snprintf(out, sizeof out, "T%02d:%02d:%02dZ", second / 3600, second / 60 % 60, second % 60);
    return to_iso(day) + out;
}

std::string to_iso_minute(WallTime t) {
    std::string out = to_iso_second(t);
    out.erase(out.size() - 4, 3);
    return out;
}

Result<Day> parse_day(std::string_view text) {
    const Error bad{Fault::bad_input, "'" + std::string(text) + "' is not a date; write it as 2026-11-25."};
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return bad;
    const int year = digits(text.substr(0, 4));
    const int month = digits(text.substr(5, 2));
    const int day = digits(text.substr(8, 2));
    if (year < 1 || month < 1 || day < 1) return bad;
    const std::chrono::year_month_day date{std::chrono::year{year}, std::chrono::month{static_cast<unsigned>(month)},
                                           std::chrono::day{static_cast<unsigned>(day)}};
    if (!date.ok()) return bad;
    return Day{static_cast<std::int32_t>(std::chrono::sys_days{date}.time_since_epoch().count())};
}

Result<WallTime> parse_utc(std::string_view text) {
    const Error bad{Fault::bad_input,
                    "'" + std::string(text) + "' is not a time in UTC; write it as 2026-11-25T19:05Z."};
    if (text.size() < 17 || (text[10] != 'T' && text[10] != ' ') || text[13] != ':' || text.back() != 'Z') return bad;
    const auto day = parse_day(text.substr(0, 10));
    if (!day) return bad;
    const int hour = digits(text.substr(11, 2));
    const int minute = digits(text.substr(14, 2));
    int second = 0;
    if (text.size() == 20 && text[16] == ':') {
        second = digits(text.substr(17, 2));
    } else if (text.size() != 17) {
        return bad;
    }
    if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 || second > 59) return bad;
    return WallTime{start_of(day.value()).ms + ((hour * 60LL + minute) * 60 + second) * 1000};
}

}  // namespace ladderline
