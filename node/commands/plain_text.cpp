#include "node/commands/plain_text.hpp"

#include <algorithm>

#include "protocol/base/bytes.hpp"

namespace ladderline::node {
namespace {

constexpr std::size_t calendar_line_bytes = 75;  // RFC 5545, section 3.1
constexpr std::size_t calendar_date_bytes = 8;   // "20261125"

// A table program would work such a cell out instead of showing it; "-12" and "+5" it takes as the numbers they are.
bool is_read_as_formula(std::string_view text) {
    constexpr std::string_view starts = "=+-@\t\r";
    if (text.empty() || starts.find(text.front()) == std::string_view::npos) return false;
    const std::string_view rest = text.substr(1);
    const bool is_number = !rest.empty() && rest.find_first_not_of("0123456789.") == std::string_view::npos;
    return !is_number || (text.front() != '-' && text.front() != '+');
}

std::string csv_cell(const std::string& shown) {
    const std::string text = is_read_as_formula(shown) ? "'" + shown : shown;
    if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text) {
        out += c;
        if (c == '"') out += c;
    }
    return out + '"';
}

// RFC 5545, section 3.3.11; its texts hold no control characters but the tab.
std::string calendar_text(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '\n') {
            out += "\\n";
            continue;
        }
        const auto byte = static_cast<unsigned char>(c);
        if ((byte < 0x20 && c != '\t') || byte == 0x7F) continue;
        if (c == '\\' || c == ';' || c == ',') out += '\\';
        out += c;
    }
    return out;
}

bool continues_character(char c) {
    return (static_cast<unsigned char>(c) & 0xC0) == 0x80;
}

std::string folded(std::string line) {
    std::string out;
    std::size_t room = calendar_line_bytes;
    while (line.size() > room) {
        std::size_t cut = room;
        while (cut > 1 && continues_character(line[cut])) --cut;
        out += line.substr(0, cut) + "\r\n ";
        line.erase(0, cut);
        room = calendar_line_bytes - 1;
    }
    return out + line + "\r\n";
}

// "20261125T193000Z"
std::string calendar_time(WallTime t) {
    std::string out = to_iso_second(t);
    std::erase_if(out, [](char c) { return c == '-' || c == ':'; });
    return out;
}

// A date alone lasts its day (section 3.6.1), from midnight to midnight where it is read.
std::string calendar_span(const CalendarEntry& e) {
    if (!e.minutes) return "DTSTART;VALUE=DATE:" + calendar_time(e.start).substr(0, calendar_date_bytes) + "\r\n";
    return "DTSTART:" + calendar_time(e.start) + "\r\nDURATION:PT" + std::to_string(*e.minutes) + "M\r\n";
}

}  // namespace

std::string csv_line(const std::vector<std::string>& cells) {
    std::string out;
    for (std::size_t i = 0; i < cells.size(); ++i) out += (i == 0 ? "" : ",") + csv_cell(cells[i]);
    return out + "\r\n";
}

std::string json_text(std::string_view text) {
    constexpr std::string_view digits = "0123456789abcdef";
    std::string out = "\"";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (byte < 0x20) {
            out += "\\u00";
            out += digits[byte >> 4];
            out += digits[byte & 15];
        } else {
            out += c;
        }
    }
    return out + '"';
}

void add_html_text(std::string& out, std::string_view text) {
    constexpr std::string_view replacement = "\xEF\xBF\xBD";
    const bool sound = is_utf8(text);
    for (const char c : text) {
        const auto byte = static_cast<std::uint8_t>(c);
        switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                if ((byte < 0x20 && c != '\n' && c != '\t') || byte == 0x7F || (byte >= 0x80 && !sound)) {
                    out += replacement;
                } else {
                    out.push_back(c);
                }
        }
    }
}

std::string html_text(std::string_view text) {
    std::string out;
    out.reserve(text.size() + 16);
    add_html_text(out, text);
    return out;
}

std::string printed_page(std::string_view title, std::string_view style, std::string_view body) {
    std::string out =
        "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"generator\" "
        "content=\"Ladderline\">\n<title>" +
        html_text(title) + "</title><style>";
    out.append(style).append("</style></head><body>\n").append(body).append("</body></html>\n");
    return out;
}

std::string calendar(const std::vector<CalendarEntry>& entries, WallTime made) {
    std::string out = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Ladderline//EN\r\n";
    for (const CalendarEntry& e : entries) {
        out += "BEGIN:VEVENT\r\n" + folded("UID:" + e.id + "@ladderline.invalid");
        out += "DTSTAMP:" + calendar_time(made) + "\r\n" + calendar_span(e);
        out += folded("SUMMARY:" + calendar_text(e.title));
        if (!e.description.empty()) out += folded("DESCRIPTION:" + calendar_text(e.description));
        if (e.is_called_off) out += "STATUS:CANCELLED\r\n";
        out += "END:VEVENT\r\n";
    }
    return out + "END:VCALENDAR\r\n";
}

}  // namespace ladderline::node
