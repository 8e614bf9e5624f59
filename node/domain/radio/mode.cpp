#include "node/domain/radio/mode.hpp"

#include <algorithm>
#include <array>

#include "protocol/base/letters.hpp"

namespace ladderline::domain {
namespace {

constexpr std::array<std::string_view, 49> listed{
    "AM",   "ARDOP", "ATV",  "CHIP",   "CLO",  "CONTESTI", "CW",    "DIGITALVOICE", "DOMINO", "DYNAMIC",
    "FAX",  "FM",    "FSK",  "FSK441", "FT8",  "HELL",     "ISCAT", "JT4",          "JT6M",   "JT9",
    "JT44", "JT65",  "MFSK", "MSK144", "MT63", "MTONE",    "OFDM",  "OLIVIA",       "OPERA",  "PAC",
    "PAX",  "PKT",   "PSK",  "PSK2K",  "Q15",  "QRA64",    "ROS",   "RTTY",         "RTTYM",  "SSB",
    "SSTV", "T10",   "THOR", "THRB",   "TOR",  "V4",       "VOI",   "WINMOR",       "WSPR"};

struct FinerName {
    std::string_view written;
    std::string_view mode;
    std::string_view submode;
};

constexpr std::array<FinerName, 16> finer_names{{{"USB", "SSB", "USB"},
                                                 {"LSB", "SSB", "LSB"},
                                                 {"FT4", "MFSK", "FT4"},
                                                 {"JS8", "MFSK", "JS8"},
                                                 {"Q65", "MFSK", "Q65"},
                                                 {"FST4", "MFSK", "FST4"},
                                                 {"PSK31", "PSK", "PSK31"},
                                                 {"PSK63", "PSK", "PSK63"},
                                                 {"DMR", "DIGITALVOICE", "DMR"},
                                                 {"DSTAR", "DIGITALVOICE", "DSTAR"},
                                                 {"D-STAR", "DIGITALVOICE", "DSTAR"},
                                                 {"C4FM", "DIGITALVOICE", "C4FM"},
                                                 {"FREEDV", "DIGITALVOICE", "FREEDV"},
                                                 {"M17", "DIGITALVOICE", "M17"},
                                                 {"DV", "DIGITALVOICE", ""},
                                                 {"PACKET", "PKT", ""}}};

constexpr std::array<std::string_view, 7> phone{"SSB", "USB", "LSB", "FM", "AM", "DV", "DIGITALVOICE"};

template <class Table>
bool contains(const Table& table, std::string_view name) {
    return std::find(table.begin(), table.end(), name) != table.end();
}

}  // namespace

Mode normal_mode(std::string_view mode, std::string_view submode) {
    Mode out{upper(mode), upper(submode)};
    const auto finer = std::find_if(finer_names.begin(), finer_names.end(),
                                    [&](const FinerName& name) { return name.written == out.mode; });
    if (finer == finer_names.end()) return out;
    out.mode = finer->mode;
    if (out.submode.empty()) out.submode = finer->submode;
    return out;
}

std::string finest_name(const Mode& mode) {
    const bool comes_back = !mode.submode.empty() && normal_mode(mode.submode) == mode;
    return comes_back ? mode.submode : mode.mode;
}

bool is_listed_mode(std::string_view mode) {
    return contains(listed, mode);
}

ModeGroup group_of(const Mode& mode) {
    if (mode.mode == "CW") return ModeGroup::morse;
    return contains(phone, mode.mode) ? ModeGroup::phone : ModeGroup::data;
}

}  // namespace ladderline::domain
