// Weekly availability as people type it.

#include <array>
#include <charconv>

#include "node/commands/circles.hpp"

namespace ladderline::node {
namespace {

constexpr std::array<std::string_view, 7> weekdays{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};

// "18:00" to minutes after midnight, or -1.
int minute_of(std::string_view text) {
    if (text.size() != 5 || text[2] != ':') return -1;
    int hour = -1;
    int minute = -1;
    const auto h = std::from_chars(text.data(), text.data() + 2, hour);
    const auto m = std::from_chars(text.data() + 3, text.data() + 5, minute);
    const bool whole = h.ptr == text.data() + 2 && m.ptr == text.data() + 5;
    return whole && hour >= 0 && hour < 24 && minute >= 0 && minute < 60 ? hour * 60 + minute : -1;
}

}  // namespace

Result<std::vector<protocol::WeeklyWindow>> parse_windows(std::string_view text) {
    std::vector<protocol::WeeklyWindow> out;
    while (!text.empty()) {
        const auto comma = text.find(',');
        std::string_view part = text.substr(0, comma);
        text = comma == std::string_view::npos ? std::string_view() : text.substr(comma + 1);
        while (!part.empty() && part.front() == ' ') part.remove_prefix(1);
        while (!part.empty() && part.back() == ' ') part.remove_suffix(1);
        const Error bad{Fault::bad_input,
                        "'" + std::string(part) + "' is no weekly time; write it as Tue 18:00-21:00."};
        if (part.size() != 15 || part[3] != ' ' || part[9] != '-') return bad;
        protocol::WeeklyWindow window;
        for (std::size_t day = 0; day < weekdays.size(); ++day) {
            if (part.substr(0, 3) == weekdays[day]) window.weekday = static_cast<std::uint8_t>(day + 1);
        }
        const int start = minute_of(part.substr(4, 5));
        const int end = minute_of(part.substr(10, 5));
        if (window.weekday == 0 || start < 0 || end < 0) return bad;
        window.start_minute = static_cast<std::uint16_t>(start);
        window.end_minute = static_cast<std::uint16_t>(end);
        out.push_back(window);
    }
    if (out.size() > protocol::limits::list_max)
        return Error{Fault::bad_input, "That is more weekly times than a card can hold."};
    return out;
}

}  // namespace ladderline::node
