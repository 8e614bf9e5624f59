#pragma once
// Call signs: the forms that the United States assigns, what is never assigned to an amateur, and how a call sign is
// split for comparing two logs. Sources: FCC, Amateur Call Sign Systems (forms, groups, and the list of what is not
// available); 47 CFR 97.119. The groups outside the first row, and the digits, in part from memory.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/result.hpp"

namespace ladderline::domain {

// A call sign of United States form: prefix of one letter (K, N, W) or two (AA-AL, KA-KZ, NA-NZ, WA-WZ), one digit, and
// a suffix of one to three letters. The forms 1x1, 1x2, 1x3, 2x1, 2x2 and 2x3 exist, and no other.
struct UsCallSign {
    std::string prefix;  // upper case
    char digit = '0';
    std::string suffix;  // upper case

    std::string text() const { return prefix + digit + suffix; }
    // "2x3"
    std::string form() const { return std::to_string(prefix.size()) + "x" + std::to_string(suffix.size()); }
    bool operator==(const UsCallSign&) const = default;
};

// Reads one call sign in either case, without side marks. bad_input says what does not fit the form. The form alone:
// see why_not_available for what can belong to an amateur.
Result<UsCallSign> parse_us_call_sign(std::string_view text);

// Why no amateur licence carries this call sign, as one sentence; none if one can.
std::optional<std::string> why_not_available(const UsCallSign& call);

// Groups of the sequential system; none for what is not available. A: Extra, B: Advanced, C: General and Technician,
// D: Novice, clubs, and Technician and General where C is used up.
enum class CallGroup : std::uint8_t { a, b, c, d };
std::optional<CallGroup> group_of(const UsCallSign& call);

// True for call signs that can belong to nobody, and may therefore stand in examples: 2x3 with first letter K or W (and
// not C, K, M, R or T behind a W), digit 0 or 1, and a suffix that begins with X; or a call that begins with Q, which
// is allotted to no country. Side marks are looked past. Such calls must never be sent.
bool is_impossible_demo_call(std::string_view call);

// A call sign as a log writes it, split at the strokes.
struct SplitCall {
    std::string base;                // upper case, no blanks: the part that is a call sign by itself
    std::string country_prefix;      // the part before the base ("F" in F/QQ1ABC), or empty
    std::vector<std::string> marks;  // what follows the base: P, M, MM, AM, QRP, a digit; kept, never compared

    bool operator==(const SplitCall&) const = default;
};

// The base is the longest part that has a digit followed by a letter (the first of two as long); without such a part,
// the longest part. bad_input: no letter or digit at all, or a character other than letters, digits, strokes and
// blanks.
Result<SplitCall> split_call(std::string_view text);

// True if both are the same station as far as call signs tell: equal bases, and equal country prefixes where both have
// one.
bool same_call(const SplitCall& a, const SplitCall& b);

}  // namespace ladderline::domain
