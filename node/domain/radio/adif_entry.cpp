// Between records and contacts in our terms.
#include <algorithm>
#include <array>
#include <charconv>
#include <set>

#include "node/domain/radio/adif.hpp"
#include "node/domain/radio/adif_words.hpp"
#include "protocol/base/letters.hpp"

namespace ladderline::domain {
namespace {

constexpr std::int64_t frequency_hz_max = 7'500'000'000'000;
constexpr int first_year = 1930;  // the format's own bound on dates

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    return text;
}

bool all_digits(std::string_view text) {
    return std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

Error cannot_use(const AdifRecord& record, const std::string& reason) {
    return {Fault::bad_input, "Record " + std::to_string(record.number) + " (byte " +
                                  std::to_string(record.byte_position) + ") was left out: " + reason + "."};
}

// What to_log_entry looks at.
bool is_used(std::string_view name) {
    constexpr std::array<std::string_view, 13> used{
        "CALL",     "QSO_DATE", "TIME_ON",          "BAND",     "FREQ",       "MODE",   "SUBMODE",
        "RST_SENT", "RST_RCVD", "STATION_CALLSIGN", "OPERATOR", "GRIDSQUARE", "COMMENT"};
    return std::find(used.begin(), used.end(), name) != used.end();
}

Result<WallTime> start_of(const AdifRecord& record) {
    const std::string_view date = trimmed(record.value("QSO_DATE"));
    const std::string_view time = trimmed(record.value("TIME_ON"));
    if (date.empty()) return cannot_use(record, "it has no QSO_DATE");
    if (time.empty()) return cannot_use(record, "it has no TIME_ON");
    const Error bad_date =
        cannot_use(record, quoted_start(date) + " in QSO_DATE is not a date from 1930 on (YYYYMMDD)");
    if (date.size() != 8 || !all_digits(date)) return bad_date;
    const auto day = parse_day(std::string(date.substr(0, 4)) + '-' + std::string(date.substr(4, 2)) + '-' +
                               std::string(date.substr(6, 2)));
    if (!day || std::stoi(std::string(date.substr(0, 4))) < first_year) return bad_date;

    const Error bad_time = cannot_use(record, quoted_start(time) + " in TIME_ON is not a time of day (HHMM or HHMMSS)");
    if ((time.size() != 4 && time.size() != 6) || !all_digits(time)) return bad_time;
    const auto two = [&](std::size_t at) { return (time[at] - '0') * 10 + (time[at + 1] - '0'); };
    const int second = time.size() == 6 ? two(4) : 0;
    if (two(0) > 23 || two(2) > 59 || second > 59) return bad_time;
    return WallTime{ladderline::start_of(day.value()).ms + ((two(0) * 60 + two(2)) * 60 + second) * std::int64_t{1000}};
}

struct Place {
    std::optional<std::int64_t> frequency_hz;
    const Band* band = nullptr;
};

Result<Place> place_of(const AdifRecord& record) {
    Place out;
    const std::string_view frequency = trimmed(record.value("FREQ"));
    const std::string_view band = trimmed(record.value("BAND"));
    if (frequency.empty() && band.empty()) return cannot_use(record, "it has neither BAND nor FREQ");
    if (!band.empty()) {
        out.band = find_band(band);
        if (out.band == nullptr) return cannot_use(record, quoted_start(band) + " in BAND is no band of the standard");
    }
    if (frequency.empty()) return out;
    const auto hz = parse_megahertz(frequency);
    if (!hz) return cannot_use(record, quoted_start(frequency) + " in FREQ is not a frequency in MHz");
    out.frequency_hz = hz.value();
    const Band* from_frequency = band_of(hz.value());
    if (out.band != nullptr && out.band != from_frequency) {
        return cannot_use(
            record, "BAND " + quoted_start(band) + " and FREQ " + quoted_start(frequency) + " contradict each other");
    }
    out.band = from_frequency;
    return out;
}

}  // namespace

Result<std::int64_t> parse_megahertz(std::string_view text) {
    const Error bad{Fault::bad_input, quoted_start(text) + " is not a frequency in MHz; write it as 14.074."};
    const std::size_t point = text.find('.');
    const std::string_view whole = text.substr(0, point);
    const std::string_view part = point == std::string_view::npos ? std::string_view{} : text.substr(point + 1);
    if (whole.size() + part.size() == 0 || !all_digits(whole) || !all_digits(part)) return bad;
    std::int64_t hz = 0;
    for (const char c : whole) {
        hz = hz * 10 + (c - '0');
        if (hz > frequency_hz_max) return bad;
    }
    for (std::size_t k = 0; k < 6; ++k) hz = hz * 10 + (k < part.size() ? part[k] - '0' : 0);
    if (part.size() > 6 && part[6] >= '5') ++hz;
    if (hz <= 0 || hz > frequency_hz_max) return bad;
    return hz;
}

std::string to_megahertz(std::int64_t frequency_hz) {
    std::string part = std::to_string(frequency_hz % 1'000'000);
    part.insert(0, 6 - part.size(), '0');
    while (!part.empty() && part.back() == '0') part.pop_back();
    const std::string whole = std::to_string(frequency_hz / 1'000'000);
    return part.empty() ? whole : whole + "." + part;
}

Result<LogEntry> to_log_entry(const AdifRecord& record) {
    LogEntry out;
    const auto text = [&](std::string_view name) { return std::string(trimmed(record.value(name))); };
    out.call = upper(text("CALL"));
    if (out.call.empty()) return cannot_use(record, "it has no CALL");
    TRY(out.start, start_of(record));
    TRY(const Place place, place_of(record));
    out.frequency_hz = place.frequency_hz;
    out.band = place.band;
    out.mode = normal_mode(text("MODE"), text("SUBMODE"));
    if (out.mode.mode.empty()) return cannot_use(record, "it has no MODE");
    out.rst_sent = text("RST_SENT");
    out.rst_received = text("RST_RCVD");
    out.station_callsign = upper(text("STATION_CALLSIGN"));
    out.operator_call = upper(text("OPERATOR"));
    out.gridsquare = text("GRIDSQUARE");
    out.comment = text("COMMENT");
    return out;
}

Log read_log(std::string_view text) {
    AdifFile file = read_adi(text);
    Log out;
    out.problems = std::move(file.problems);
    std::set<std::string> unused;
    for (const AdifRecord& record : file.records) {
        for (const AdifField& field : record.fields) {
            if (!is_used(field.name) && !trimmed(field.value).empty()) unused.insert(field.name);
        }
        auto entry = to_log_entry(record);
        if (entry) {
            out.entries.push_back(std::move(entry).value());
        } else {
            out.problems.push_back({record.number, record.byte_position, entry.error().sentence()});
        }
    }
    std::stable_sort(out.problems.begin(), out.problems.end(),
                     [](const AdifProblem& a, const AdifProblem& b) { return a.record_number < b.record_number; });
    out.unused_fields.assign(unused.begin(), unused.end());
    return out;
}

}  // namespace ladderline::domain
