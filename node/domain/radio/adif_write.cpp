// The writer: contacts to bytes.
#include <algorithm>

#include "node/domain/radio/adif.hpp"

namespace ladderline::domain {
namespace {

// One line of the format's character set; a character of more than one byte becomes one '?'.
std::string to_ascii_line(std::string_view text) {
    std::string out;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte >= 128 && byte < 192) continue;  // the tail of a character whose head became '?'
        if (byte >= 32 && byte < 127) {
            out += c;
        } else if (c == '\n') {
            if (!out.empty() && out.back() == '\r') out.pop_back();
            out += ' ';
        } else {
            out += c == '\r' ? '\r' : '?';
        }
    }
    std::replace(out.begin(), out.end(), '\r', ' ');
    return out;
}

std::string field(std::string_view name, std::string_view value) {
    const std::string data = to_ascii_line(value);
    return "<" + std::string(name) + ":" + std::to_string(data.size()) + ">" + data;
}

// "20261125" and "190500" from "2026-11-25T19:05:00Z".
std::string date_of(WallTime t) {
    const std::string iso = to_iso_second(t);
    return iso.substr(0, 4) + iso.substr(5, 2) + iso.substr(8, 2);
}

std::string time_of(WallTime t) {
    const std::string iso = to_iso_second(t);
    return iso.substr(11, 2) + iso.substr(14, 2) + iso.substr(17, 2);
}

}  // namespace

AdifRecord to_record(const LogEntry& entry) {
    AdifRecord out;
    const auto add = [&](std::string_view name, std::string value) {
        if (!value.empty()) out.fields.push_back({std::string(name), std::move(value), 0});
    };
    add("CALL", entry.call);
    add("QSO_DATE", date_of(entry.start));
    add("TIME_ON", time_of(entry.start));
    if (entry.band != nullptr) add("BAND", std::string(entry.band->name));
    if (entry.frequency_hz) add("FREQ", to_megahertz(*entry.frequency_hz));
    add("MODE", entry.mode.mode);
    add("SUBMODE", entry.mode.submode);
    add("RST_SENT", entry.rst_sent);
    add("RST_RCVD", entry.rst_received);
    add("STATION_CALLSIGN", entry.station_callsign);
    add("OPERATOR", entry.operator_call);
    add("GRIDSQUARE", entry.gridsquare);
    add("COMMENT", entry.comment);
    return out;
}

std::string write_adi(const AdifWriter& writer, std::span<const LogEntry> entries) {
    std::string out = "Log written by " + writer.program + "\r\n";
    out += field("ADIF_VER", "3.1.7") + "\r\n";
    out += field("CREATED_TIMESTAMP", date_of(writer.created) + " " + time_of(writer.created)) + "\r\n";
    out += field("PROGRAMID", writer.program) + "\r\n";
    if (!writer.program_version.empty()) out += field("PROGRAMVERSION", writer.program_version) + "\r\n";
    out += "<EOH>\r\n";
    for (const LogEntry& entry : entries) {
        for (const AdifField& f : to_record(entry).fields) out += field(f.name, f.value);
        out += "<EOR>\r\n";
    }
    return out;
}

}  // namespace ladderline::domain
