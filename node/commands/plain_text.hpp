#pragma once
// Plain files that other programs read: tables (RFC 4180), calendars (RFC 5545), lines of JSON (RFC 8259), pages.
// Texts come in as UTF-8 and go out as UTF-8.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/time.hpp"

namespace ladderline::node {

// One line, ended by CR LF. A cell with a comma, a quote or a line break is quoted; one
// that a table program would read as a formula begins with an apostrophe.
std::string csv_line(const std::vector<std::string>& cells);

// With its quotes.
std::string json_text(std::string_view text);

// For text and quoted attribute values of HTML; control characters and broken UTF-8 become U+FFFD.
std::string html_text(std::string_view text);
void add_html_text(std::string& out, std::string_view text);

// A page to print that is complete in itself; its first line is the same for all of them. `body` is markup.
std::string printed_page(std::string_view title, std::string_view style, std::string_view body);

struct CalendarEntry {
    std::string id;  // the same for the same entry, whenever it is written
    WallTime start;
    std::optional<std::int32_t> minutes;  // none: all of the day of `start`, on whatever clock it is read
    std::string title;
    std::string description;
    bool is_called_off = false;
};
// A whole calendar; `made` is when it was written. Lines are folded at 75 bytes, never inside a character.
std::string calendar(const std::vector<CalendarEntry>& entries, WallTime made);

}  // namespace ladderline::node
