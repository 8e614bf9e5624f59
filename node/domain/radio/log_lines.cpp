#include "node/domain/radio/log_lines.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <vector>

#include "node/domain/radio/mode.hpp"
#include "node/domain/rules/call_sign.hpp"

namespace ladderline::domain {
namespace {

constexpr std::int32_t half_a_day_min = 720;

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

bool all_digits(std::string_view text) {
    return !text.empty() && std::all_of(text.begin(), text.end(), is_digit);
}

std::string_view next_word(std::string_view& rest) {
    constexpr std::string_view blanks = " \t\r";
    const std::size_t begin = rest.find_first_not_of(blanks);
    if (begin == std::string_view::npos) return rest = {};
    rest.remove_prefix(begin);
    const std::string_view word = rest.substr(0, rest.find_first_of(blanks));
    rest.remove_prefix(word.size());
    return word;
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front()))) text.remove_prefix(1);
    while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back()))) text.remove_suffix(1);
    return text;
}

// Whether it looks like a time of day; its minute, or -1 where there is no such time.
std::optional<std::int32_t> time_of(std::string_view word) {
    if (!word.empty() && (word.back() == 'Z' || word.back() == 'z')) word.remove_suffix(1);
    std::string digits(word);
    const std::size_t colon = digits.find(':');
    if (colon != std::string::npos) {
        if (colon == 1) digits.insert(0, "0");
        if (digits.size() != 5 || digits[2] != ':') return std::nullopt;
        digits.erase(2, 1);
    }
    if (digits.size() != 4 || !all_digits(digits)) return std::nullopt;
    const int hour = std::stoi(digits.substr(0, 2));
    const int minute = std::stoi(digits.substr(2));
    return hour < 24 && minute < 60 ? hour * 60 + minute : -1;
}

bool is_frequency(std::string_view word) {
    const std::size_t point = word.find('.');
    return point != std::string_view::npos && all_digits(word.substr(0, point)) && all_digits(word.substr(point + 1));
}

bool is_mode(std::string_view word) {
    constexpr std::array<std::string_view, 9> small{"fm", "ssb", "usb", "lsb", "cw", "ft8", "ft4", "psk31", "rtty"};
    if (std::find(small.begin(), small.end(), word) != small.end()) return true;
    const bool capitals = std::none_of(word.begin(), word.end(), [](unsigned char c) { return std::islower(c); });
    return capitals && is_listed_mode(normal_mode(word).mode);
}

bool is_report(std::string_view word) {
    if (word.size() >= 2 && word.size() <= 3 && (word[0] == '-' || word[0] == '+')) return all_digits(word.substr(1));
    if (word.size() < 2 || word.size() > 3 || word[0] < '1' || word[0] > '5') return false;
    // Operators write N for 9 when they send Morse.
    return std::all_of(word.begin() + 1, word.end(), [](char c) { return is_digit(c) || c == 'N' || c == 'n'; });
}

bool is_call(std::string_view word) {
    const auto call = split_call(word);
    return call && std::any_of(call.value().base.begin(), call.value().base.end(), is_digit) &&
           std::any_of(call.value().base.begin(), call.value().base.end(),
                       [](unsigned char c) { return std::isalpha(c); });
}

// What stands behind the call sign.
void read_rest(LogLine& out, std::string_view rest) {
    for (;;) {
        const std::string_view before = rest;
        const std::string_view word = next_word(rest);
        if (word.empty()) return;
        if (word == "MHz" || word == "mhz" || word == "MHZ") {
            if (!out.frequency.empty()) continue;
        } else if (word == "/") {
            out.remark = trimmed(rest);
            return;
        } else if (is_frequency(word) && out.frequency.empty()) {
            out.frequency = word;
            continue;
        } else if (is_report(word) && out.received.empty()) {
            (out.sent.empty() ? out.sent : out.received) = word;
            continue;
        } else if (is_mode(word) && out.mode.empty()) {
            out.mode = word;
            continue;
        }
        out.remark = trimmed(before);
        return;
    }
}

}  // namespace

Result<LineRead> read_log_line(std::string_view line) {
    std::string_view rest = trimmed(line);
    if (rest.empty() || rest.front() == '#') return LineRead{};
    if (const auto day = parse_day(rest)) return LineRead{day.value()};
    LogLine out;
    std::string_view word = next_word(rest);
    if (const auto minute = time_of(word)) {
        if (*minute < 0) return Error{Fault::bad_input, "'" + std::string(word) + "' is no time of day."};
        out.minute_of_day = *minute;
        word = next_word(rest);
        if (word.empty()) return Error{Fault::bad_input, "There is a time, and no call sign behind it."};
    }
    if (!is_call(word)) {
        return Error{Fault::bad_input, "'" + std::string(word.substr(0, 40)) +
                                           "' is no call sign: a call sign has letters and a digit, and stands first "
                                           "or behind the time."};
    }
    out.call = word;
    read_rest(out, rest);
    return LineRead{std::move(out)};
}

std::string write_log_line(const LogLine& line) {
    std::string out;
    const auto add = [&](std::string_view word) {
        if (word.empty()) return;
        if (!out.empty()) out += ' ';
        out += word;
    };
    if (line.minute_of_day) {
        const auto two = [](std::int32_t n) { return (n < 10 ? "0" : "") + std::to_string(n); };
        add(two(*line.minute_of_day / 60) + two(*line.minute_of_day % 60));
    }
    for (const std::string* word : {&line.call, &line.frequency, &line.mode, &line.sent, &line.received}) add(*word);
    if (line.remark.empty()) return out;
    add("/");
    add(line.remark);
    return out;
}

Day day_of_line(Day last_day, std::int32_t last_minute, std::int32_t minute) {
    return minute < last_minute - half_a_day_min ? last_day + 1 : last_day;
}

}  // namespace ladderline::domain
