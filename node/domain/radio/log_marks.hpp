#pragma once
// What a log shows of somebody's way: the first contact, the tenth, the first without a repeater, the first beyond the
// own country or continent. Each with how it is known; what the log cannot tell is not said.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "node/domain/radio/mode.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

struct MarkRow {
    WallTime start;
    std::string worked;
    std::string station;    // call sign sent on the air
    bool as_guest = false;  // under somebody else's control
    std::optional<std::int64_t> frequency_hz;
    std::string band;  // a name of band.hpp
    Mode mode;
    std::string remark;
    bool agreed = false;                // another log shows the same contact
    std::optional<double> distance_km;  // the least that both locators allow
};

enum class Through : std::uint8_t { unknown, direct, repeater };
struct ThroughWhat {
    Through through = Through::unknown;
    std::string_view known_by;  // "the remark says so"; empty for unknown
};
// The words "direct" or "simplex", or "repeater", in the remark decide. Without them: below 28 MHz, in Morse and in
// sideband there are no repeaters (common practice, no source), and on the calling frequencies of FM nobody puts one
// (146.52 MHz by the question pool; 52.525, 223.5 and 446.0 MHz from memory). Anything else is not known.
ThroughWhat through_what(const MarkRow& row);
// "portable" in the remark, or the mark P behind the call sign that was sent.
bool is_portable(const MarkRow& row);

enum class MarkKind : std::uint8_t {
    first_as_guest,
    first,
    with_mentor,
    second_within_week,
    tenth,
    first_direct,
    direct_with_mentor,
    direct_far,  // beyond five kilometres
    guest_on_shortwave,
    first_data,
    other_country,
    other_continent,
    far_agreed,  // another country, and the other log agrees
    ten_portable,
};
struct LogMark {
    MarkKind kind = MarkKind::first;
    std::size_t row = 0;   // the contact that reached it
    std::string known_by;  // how the log shows it; empty where it is plain
};
// `rows` oldest first. Contacts as a guest count as a guest's alone. `mentors`: call signs. In the order above, each at
// most once.
std::vector<LogMark> log_marks(const std::vector<MarkRow>& rows, const std::vector<std::string>& mentors);

}  // namespace ladderline::domain
