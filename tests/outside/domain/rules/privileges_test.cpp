// Places, modes, classes and powers whose answer a section of 47 CFR 97 or a published pool item gives. Pool items:
// their numbers in the pools Technician 2026-2030 (T), General 2023-2027 (G) and Extra 2024-2028 (E). FCC 25-60 is the
// order on 60 m, in force on 2026-02-13. The sections were read in the editions that the lines of us_privileges.tsv
// name.

#include <doctest/doctest.h>

#include <string>

#include "node/domain/rules/transmit.hpp"

using namespace ladderline::domain;

namespace {

struct Check {
    const char* frequency;
    const char* mode;
    const char* licence_class;
    double power_w;
    Verdict verdict;
    const char* source;
    double gain_dbd = 0;
};

// clang-format off
constexpr Check checks[] = {
    {"3.550", "CW", "T", 200, Verdict::yes, "97.301(e), 97.307(f)(9); T1B11"},
    {"3.550", "CW", "T", 201, Verdict::no, "97.313(c)(2); T1B11"},
    {"3.550", "CW", "N", 200, Verdict::yes, "97.301(e)"},
    {"3.510", "CW", "T", 5, Verdict::no, "97.301(e) begins at 3.525"},
    {"3.6001", "CW", "T", 5, Verdict::no, "97.301(e) ends at 3.600"},
    {"3.573", "FT8", "T", 50, Verdict::no, "97.307(f)(9)"},
    {"3.590", "RTTY", "T", 50, Verdict::no, "97.307(f)(9)"},
    {"3.850", "LSB", "T", 100, Verdict::no, "97.301(e); T1B06"},
    {"7.030", "CW", "T", 200, Verdict::yes, "97.301(e), 97.307(f)(9)"},
    {"7.074", "FT8", "T", 50, Verdict::no, "97.307(f)(9)"},
    {"7.125", "CW", "T", 50, Verdict::no, "97.307(b): half of the signal is above 7.125"},
    {"7.1249", "CW", "T", 50, Verdict::yes, "97.301(e), 97.307(b)"},
    {"7.200", "LSB", "T", 100, Verdict::no, "97.301(e); T1B06"},
    {"10.110", "CW", "T", 5, Verdict::no, "97.301(e) names no 30 m"},
    {"14.050", "CW", "T", 5, Verdict::no, "97.301(e) names no 20 m"},
    {"14.250", "USB", "T", 5, Verdict::no, "97.301(e); T1B06"},
    {"18.080", "CW", "T", 5, Verdict::no, "97.301(e) names no 17 m"},
    {"21.050", "CW", "T", 150, Verdict::yes, "97.301(e)"},
    {"21.050", "CW", "N", 250, Verdict::no, "97.313(c)(2)"},
    {"21.074", "FT8", "T", 50, Verdict::no, "97.307(f)(9)"},
    {"21.300", "USB", "T", 50, Verdict::no, "97.301(e); T1B06"},
    {"24.900", "CW", "T", 5, Verdict::no, "97.301(e) names no 12 m"},
    {"28.074", "FT8", "T", 100, Verdict::yes, "97.301(e), 97.305(c); T1B05"},
    {"28.074", "FT8", "N", 100, Verdict::yes, "97.301(e), 97.305(c)"},
    {"28.100", "RTTY", "T", 200, Verdict::yes, "97.301(e), 97.305(c)"},
    {"28.050", "CW", "T", 200, Verdict::yes, "97.301(e)"},
    {"28.050", "CW", "T", 300, Verdict::no, "97.313(c)(2); T1B11"},
    {"28.350", "USB", "T", 100, Verdict::yes, "97.301(e), 97.307(f)(10); T1B01"},
    {"28.350", "LSB", "T", 100, Verdict::yes, "97.307(f)(10)"},
    {"28.350", "USB", "N", 200, Verdict::yes, "97.307(f)(10)"},
    {"28.350", "USB", "T", 400, Verdict::no, "97.313(c)(2); T1B11"},
    {"28.400", "FM", "T", 50, Verdict::no, "97.307(f)(10)"},
    {"28.400", "NFM", "T", 50, Verdict::no, "97.307(f)(10)"},
    {"28.400", "AM", "T", 50, Verdict::no, "97.307(f)(10)"},
    {"28.400", "SSTV", "T", 50, Verdict::no, "97.307(f)(10)"},
    {"28.400", "CW", "T", 50, Verdict::yes, "97.305(a), 97.307(f)(10)"},
    {"28.499", "USB", "T", 50, Verdict::no, "97.307(b): the signal reaches 28.502; E1A01"},
    {"28.497", "USB", "T", 50, Verdict::yes, "97.307(b)"},
    {"28.302", "LSB", "T", 50, Verdict::no, "97.307(b): the signal reaches 28.299; E1A03"},
    {"28.303", "LSB", "T", 50, Verdict::yes, "97.307(b); E1A03"},
    {"28.250", "USB", "T", 50, Verdict::no, "97.305(c)"},
    {"28.600", "USB", "T", 50, Verdict::no, "97.301(e) ends at 28.500; T1B01"},
    {"29.600", "FM", "T", 50, Verdict::no, "97.301(e)"},
    {"50.050", "CW", "T", 100, Verdict::yes, "97.301(a), 97.305(a); T1B07"},
    {"50.050", "USB", "T", 100, Verdict::no, "97.305(c); T1B07"},
    {"50.125", "USB", "T", 100, Verdict::yes, "97.301(a), 97.305(c)"},
    {"50.313", "FT8", "T", 100, Verdict::yes, "97.305(c); T1B05"},
    {"52.525", "FM", "T", 50, Verdict::yes, "97.301(a); T1B03"},
    {"52.525", "FM", "N", 50, Verdict::no, "97.301(a) leaves Novice out"},
    {"53.996", "FM", "T", 50, Verdict::no, "97.307(b): the signal reaches 54.004"},
    {"144.050", "CW", "T", 100, Verdict::yes, "97.301(a), 97.305(a); T1B07"},
    {"144.050", "FM", "T", 50, Verdict::no, "97.305(c); T1B07"},
    {"144.174", "FT8", "T", 50, Verdict::yes, "97.305(c); T1B05"},
    {"144.200", "USB", "T", 1500, Verdict::yes, "97.313(b); T1B12"},
    {"144.200", "USB", "T", 1501, Verdict::no, "97.313(b); T1B12"},
    {"144.390", "PACKET", "T", 50, Verdict::yes, "97.305(c), 97.307(f)(5)"},
    {"146.520", "FM", "T", 50, Verdict::yes, "97.301(a); T1B04"},
    {"146.520", "DMR", "T", 50, Verdict::yes, "97.301(a), 97.305(c)"},
    {"146.520", "FM", "none", 5, Verdict::no, "97.5(a), 97.7; T1A05"},
    {"147.995", "FM", "T", 50, Verdict::no, "97.307(b): the signal reaches 148.003"},
    {"147.990", "FM", "T", 50, Verdict::yes, "97.307(b)"},
    {"148.100", "FM", "E", 5, Verdict::no, "97.301(a) ends at 148"},
    {"222.100", "USB", "T", 100, Verdict::yes, "97.301(a)"},
    {"223.500", "FM", "T", 50, Verdict::yes, "97.301(a)"},
    {"223.500", "FM", "N", 25, Verdict::not_known, "97.301(f) was not read in force"},
    {"219.500", "FM", "T", 50, Verdict::no, "97.305(c): data only there"},
    {"435.000", "USB", "T", 50, Verdict::yes, "97.301(a)"},
    {"446.000", "FM", "T", 50, Verdict::yes, "97.301(a)"},
    {"439.250", "ATV", "T", 50, Verdict::yes, "97.305(c)"},
    {"451.000", "FM", "T", 5, Verdict::no, "97.301(a) ends at 450"},
    {"927.500", "FM", "T", 50, Verdict::yes, "97.301(a)"},
    {"1294.5 MHz", "FM", "T", 10, Verdict::yes, "97.301(a)"},
    {"1280 MHz", "FM", "N", 5, Verdict::not_known, "97.301(f) was not read in force"},
    {"2304.100 MHz", "USB", "T", 10, Verdict::yes, "97.301(a)"},
    {"2350 MHz", "FM", "T", 10, Verdict::no, "97.301(a): 2310 to 2390 is no amateur band"},
    {"3400 MHz", "FM", "E", 10, Verdict::no, "97.301(a), edition of 2021: no 9 cm band"},
    {"5760.1 MHz", "USB", "T", 10, Verdict::yes, "97.301(a)"},
    {"10.3681 GHz", "USB", "T", 5, Verdict::yes, "97.301(a)"},
    {"24.1921 GHz", "USB", "T", 1, Verdict::yes, "97.301(a)"},
    {"1.850", "CW", "G", 1500, Verdict::yes, "97.301(d); G1C06"},
    {"1.900", "LSB", "G", 1500, Verdict::yes, "97.305(c); G1C06"},
    {"1.900", "LSB", "G", 1501, Verdict::no, "97.313(b); G1C06"},
    {"1.900", "LSB", "T", 100, Verdict::no, "97.301(e) names no 160 m"},
    {"1.801", "LSB", "G", 100, Verdict::no, "97.307(b): the signal reaches 1.798; E1A03"},
    {"1.803", "LSB", "G", 100, Verdict::yes, "97.307(b); E1A03"},
    {"3.510", "CW", "G", 100, Verdict::no, "97.301(b); G1A08"},
    {"3.573", "FT8", "G", 100, Verdict::yes, "97.301(d), 97.305(c)"},
    {"3.573", "LSB", "G", 100, Verdict::no, "97.305(c)"},
    {"3.700", "LSB", "G", 100, Verdict::no, "97.301(d); G1A01"},
    {"3.803", "LSB", "G", 100, Verdict::yes, "97.301(d), 97.307(b)"},
    {"3.802", "LSB", "G", 100, Verdict::no, "97.307(b): the signal reaches 3.799"},
    {"3.985", "LSB", "G", 1500, Verdict::yes, "97.301(d)"},
    {"3.885", "AM", "G", 375, Verdict::yes, "97.305(c)"},
    {"3.885", "FM", "G", 100, Verdict::no, "97.307(f)(1)"},
    {"3.885", "FT8", "G", 100, Verdict::no, "97.305(c)"},
    {"7.010", "CW", "G", 100, Verdict::no, "97.301(b); G1A08"},
    {"7.074", "FT8", "G", 1500, Verdict::yes, "97.301(d), 97.305(c)"},
    {"7.150", "LSB", "G", 100, Verdict::no, "97.301(d); G1A05"},
    {"7.150", "CW", "G", 100, Verdict::no, "97.301(d); G1A05"},
    {"7.178", "LSB", "G", 100, Verdict::yes, "97.301(d), 97.307(b)"},
    {"7.176", "LSB", "G", 100, Verdict::no, "97.307(b): the signal reaches 7.173"},
    {"7.290", "AM", "G", 100, Verdict::yes, "97.305(c)"},
    {"7.298", "AM", "G", 100, Verdict::no, "97.307(b): the signal reaches 7.301"},
    {"7.305", "LSB", "E", 100, Verdict::no, "97.307(b): the signal reaches 7.302 at least"},
    {"10.110", "CW", "G", 200, Verdict::yes, "97.313(c)(1); G1C01"},
    {"10.136", "FT8", "G", 200, Verdict::yes, "97.305(c); G1C01"},
    {"10.140", "RTTY", "G", 201, Verdict::no, "97.313(c)(1); G1C01"},
    {"10.120", "USB", "G", 100, Verdict::no, "97.305(c); G1A02"},
    {"10.120", "SSTV", "E", 100, Verdict::no, "97.305(c); G1A03"},
    {"14.010", "CW", "G", 100, Verdict::no, "97.301(b); G1A08"},
    {"14.030", "CW", "G", 100, Verdict::yes, "97.301(d)"},
    {"14.074", "FT8", "G", 1500, Verdict::yes, "97.301(d), 97.305(c)"},
    {"14.074", "FT8", "G", 1600, Verdict::no, "97.313(b)"},
    {"14.160", "USB", "G", 100, Verdict::no, "97.301(d); G1A11"},
    {"14.200", "USB", "G", 100, Verdict::no, "97.301(d); G1A11"},
    {"14.225", "USB", "G", 100, Verdict::yes, "97.301(d)"},
    {"14.224", "USB", "G", 100, Verdict::no, "97.301(d)"},
    {"14.348", "USB", "G", 100, Verdict::no, "97.307(b); E1A01"},
    {"14.347", "USB", "G", 100, Verdict::yes, "97.307(b); E1A02"},
    {"14.300", "CW", "G", 100, Verdict::yes, "97.305(a)"},
    {"14.300", "RTTY", "G", 100, Verdict::no, "97.305(c)"},
    {"18.100", "FT8", "G", 100, Verdict::yes, "97.305(c)"},
    {"18.130", "USB", "G", 100, Verdict::yes, "97.305(c)"},
    {"18.105", "USB", "G", 100, Verdict::no, "97.305(c)"},
    {"18.167", "USB", "G", 100, Verdict::no, "97.307(b): the signal reaches 18.170"},
    {"21.010", "CW", "G", 100, Verdict::no, "97.301(b); G1A08"},
    {"21.250", "USB", "G", 100, Verdict::no, "97.301(d); G1A01"},
    {"21.300", "USB", "G", 1500, Verdict::yes, "97.301(d); G1A09"},
    {"24.915", "FT8", "G", 1500, Verdict::yes, "97.313(b); G1C02"},
    {"24.940", "USB", "G", 1500, Verdict::yes, "97.313(b); G1C02"},
    {"24.940", "USB", "G", 1600, Verdict::no, "97.313(b); G1C02"},
    {"28.020", "CW", "G", 1500, Verdict::yes, "97.305(a); G1A07"},
    {"28.400", "CW", "G", 1500, Verdict::yes, "97.305(a); G1A07"},
    {"29.650", "CW", "G", 1500, Verdict::yes, "97.305(a); G1A07"},
    {"28.400", "USB", "G", 1500, Verdict::yes, "97.313(b); G1C05"},
    {"28.400", "USB", "G", 1501, Verdict::no, "97.313(b); G1C05"},
    {"28.600", "USB", "G", 100, Verdict::yes, "97.301(d)"},
    {"28.600", "FM", "G", 100, Verdict::no, "97.307(f)(1); E1C09"},
    {"28.600", "NFM", "G", 100, Verdict::yes, "97.307(f)(1): index below 1; E1C09"},
    {"29.600", "FM", "G", 100, Verdict::yes, "97.305(c)"},
    {"28.400", "FT8", "G", 100, Verdict::no, "97.305(c)"},
    {"27.205", "USB", "E", 5, Verdict::no, "97.301: no amateur band"},
    {"3.650", "LSB", "A", 100, Verdict::no, "97.301(c)"},
    {"3.750", "LSB", "A", 100, Verdict::not_known, "97.301(c)"},
    {"7.150", "LSB", "A", 100, Verdict::not_known, "97.301(c)"},
    {"14.160", "USB", "A", 100, Verdict::no, "97.301(c)"},
    {"14.180", "USB", "A", 100, Verdict::not_known, "97.301(c)"},
    {"21.210", "USB", "A", 100, Verdict::no, "97.301(c)"},
    {"21.230", "USB", "A", 100, Verdict::not_known, "97.301(c)"},
    {"14.224", "USB", "A", 100, Verdict::not_known, "97.301(c): across 14.225 its rights go on"},
    {"3.510", "CW", "A", 100, Verdict::no, "97.301(b); G1A08"},
    {"3.505", "CW", "E", 1500, Verdict::yes, "97.301(b); G1A08"},
    {"3.601", "LSB", "E", 100, Verdict::no, "97.307(b); E1A04"},
    {"3.603", "LSB", "E", 100, Verdict::yes, "97.307(b)"},
    {"3.650", "LSB", "E", 1500, Verdict::yes, "97.301(b)"},
    {"7.174", "LSB", "E", 100, Verdict::yes, "97.301(b): across 7.175 its rights go on"},
    {"7.126", "LSB", "E", 100, Verdict::no, "97.305(c): the signal reaches 7.123"},
    {"14.005", "CW", "E", 1500, Verdict::yes, "97.301(b); G1A08"},
    {"14.160", "USB", "E", 1500, Verdict::yes, "97.301(b)"},
    {"14.148", "USB", "E", 100, Verdict::no, "97.305(c)"},
    {"21.205", "USB", "E", 1500, Verdict::yes, "97.301(b)"},
    {"5.332", "CW", "G", 100, Verdict::yes, "97.303(h), 97.307(f)(14); E1A06"},
    {"5.3322", "CW", "G", 100, Verdict::no, "E1A06: Morse in the middle of the channel"},
    {"5.3305", "USB", "G", 100, Verdict::yes, "FCC 25-60: centre 5332.0"},
    {"5.3465", "USB", "G", 100, Verdict::yes, "FCC 25-60: centre 5348.0"},
    {"5.3715", "USB", "G", 100, Verdict::yes, "FCC 25-60: centre 5373.0"},
    {"5.4035", "USB", "E", 100, Verdict::yes, "FCC 25-60: centre 5405.0"},
    {"5.3715", "USB", "G", 101, Verdict::no, "FCC 25-60: 100 W ERP"},
    {"5.3715", "LSB", "G", 100, Verdict::no, "97.307(f)(14)"},
    {"5.3720", "USB", "G", 100, Verdict::no, "97.307(b): off the channel"},
    {"5.3570", "USB", "G", 9, Verdict::yes, "FCC 25-60: 5351.5 to 5366.5, 9.15 W ERP"},
    {"5.3570", "USB", "G", 100, Verdict::no, "FCC 25-60: 9.15 W ERP"},
    {"5.3570", "USB", "T", 5, Verdict::no, "FCC 25-60: General, Advanced, Extra"},
    {"5.3570", "FT8", "G", 9, Verdict::yes, "FCC 25-60; 97.307(f)(14)"},
    {"5.3540", "CW", "G", 9, Verdict::yes, "FCC 25-60"},
    {"5.3500", "CW", "G", 9, Verdict::no, "FCC 25-60: between channel and segment"},
    {"5.3660", "USB", "G", 9, Verdict::no, "97.307(b): the signal reaches 5.369"},
    {"5.3570", "SSTV", "G", 9, Verdict::no, "97.305(c), 97.307(f)(14)"},
    {"5.4050", "RTTY", "G", 50, Verdict::not_known, "the placing of data in a channel was not read"},
    {"0.1369", "CW", "G", 0.6, Verdict::yes, "97.313(k)"},
    {"0.1369", "CW", "G", 1, Verdict::no, "97.313(k): 1.64 W EIRP with a dipole"},
    {"0.1369", "CW", "T", 0.1, Verdict::no, "97.301: not Technician"},
    {"0.475", "LSB", "E", 3, Verdict::yes, "97.305(c); E1C12"},
    {"0.475", "CW", "G", 3.1, Verdict::no, "97.313(l): 5.08 W EIRP with a dipole"},
    {"0.475", "CW", "G", 500, Verdict::yes, "97.313(l): 500 W PEP into 0.82 W EIRP", -30},
    {"0.475", "CW", "G", 501, Verdict::no, "97.313(l): more than 500 W PEP", -30},
    {"0.475", "CW", "G", 1400, Verdict::no, "97.313(l): more than 500 W PEP", -30},
    {"0.1369", "CW", "G", 1500, Verdict::yes, "97.313(k): 1500 W PEP into 0.25 W EIRP", -40},
    {"0.1369", "CW", "G", 1501, Verdict::no, "97.313(k): more than 1500 W PEP", -40},
    {"5.332", "CW", "G", 1500, Verdict::yes, "97.313(b): 1500 W PEP into 23.8 W ERP", -18},
    {"5.332", "CW", "G", 5000, Verdict::no, "97.313(b): more than 1500 W PEP", -18},
    {"5.3465", "USB", "E", 1501, Verdict::no, "97.313(b): more than 1500 W PEP", -18},
    {"5.3715", "USB", "G", 1501, Verdict::no, "97.313(b): more than 1500 W PEP", -18},
    {"5.4035", "USB", "G", 1501, Verdict::no, "97.313(b): more than 1500 W PEP", -18},
    {"5.3570", "USB", "G", 1500, Verdict::yes, "97.313(b): 1500 W PEP into 4.7 W ERP", -25},
    {"5.3570", "USB", "G", 1501, Verdict::no, "97.313(b): more than 1500 W PEP", -25},
    {"5.4050", "RTTY", "G", 1501, Verdict::no, "97.313(b): more than 1500 W PEP", -18},
};
// clang-format on

const RuleBook& us() {
    return *shipped_rule_book("us").value();
}

}  // namespace

TEST_CASE("every place, mode, class and power is answered as its rule says") {
    for (const Check& check : checks) {
        CAPTURE(check.frequency);
        CAPTURE(check.mode);
        CAPTURE(check.licence_class);
        CAPTURE(check.source);
        TransmitAsk ask;
        ask.control_class = check.licence_class;
        ask.frequency_hz = parse_frequency(check.frequency).value();
        ask.mode = check.mode;
        ask.power_w = check.power_w;
        if (check.gain_dbd != 0) ask.gain_dbd = check.gain_dbd;
        const TransmitAnswer answer = may_transmit(us(), ask).value();
        CAPTURE(answer.reason);
        CHECK(to_word(answer.verdict) == to_word(check.verdict));
        CHECK_FALSE(answer.reason.empty());
    }
}

TEST_CASE("there are at least 120 such checks, of every class and verdict") {
    CHECK(std::size(checks) >= 120);
    for (const std::string wanted : {"N", "T", "G", "A", "E", "none"}) {
        CAPTURE(wanted);
        bool found = false;
        for (const Check& check : checks) found = found || check.licence_class == wanted;
        CHECK(found);
    }
    for (const Verdict wanted : {Verdict::yes, Verdict::no, Verdict::not_known}) {
        bool found = false;
        for (const Check& check : checks) found = found || check.verdict == wanted;
        CHECK(found);
    }
}

TEST_CASE("the limits of radiated power on 60 m are cited where the rules have them") {
    // 47 CFR 97.313(i) is the paragraph on 60 m, as the withdrawn pool item G1C09 named it too; 97.313(f) is about 70
    // cm near military areas.
    for (const Privilege& line : us().privileges) {
        if (line.band != "60m" || line.basis != PowerBasis::erp) continue;
        CAPTURE(line.source.rule);
        CHECK(line.source.rule.find("97.313(i)") != std::string::npos);
        CHECK(line.source.rule.find("97.313(f)") == std::string::npos);
    }
}
