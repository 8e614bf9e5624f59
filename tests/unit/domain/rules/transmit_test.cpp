#include "node/domain/rules/transmit.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

const RuleBook& us() {
    return *shipped_rule_book("us").value();
}

TransmitAsk asked(const std::string& frequency, const std::string& mode, const std::string& licence_class) {
    TransmitAsk ask;
    ask.control_class = licence_class;
    ask.frequency_hz = parse_frequency(frequency).value();
    ask.mode = mode;
    return ask;
}

TransmitAnswer answered(const TransmitAsk& ask) {
    return may_transmit(us(), ask).value();
}

bool remarked(const TransmitAnswer& answer, const std::string& words) {
    return std::any_of(answer.remarks.begin(), answer.remarks.end(),
                       [&](const std::string& r) { return r.find(words) != std::string::npos; });
}

}  // namespace

TEST_CASE("frequencies are read with their unit, megahertz without one") {
    struct Row {
        const char* text;
        std::int64_t hz;
    };
    static constexpr Row rows[] = {{"14.25", 14'250'000},          {"14.250 MHz", 14'250'000},
                                   {"14250 kHz", 14'250'000},      {"14250000hz", 14'250'000},
                                   {"10.368 GHz", 10'368'000'000}, {"5.3305", 5'330'500},
                                   {"146", 146'000'000},           {"0.1369", 136'900}};
    for (const Row& row : rows) {
        CAPTURE(row.text);
        CHECK(parse_frequency(row.text).value() == row.hz);
    }
}

TEST_CASE("a number that is no frequency, or has no likely unit, is a sentence") {
    for (const char* text : {"", "abc", "14,25", "-3", "0", "14.25.1", "14.2500001", "1e9"}) {
        CAPTURE(text);
        const auto read = parse_frequency(text);
        REQUIRE_FALSE(read.has_value());
        CHECK(read.error().fault() == Fault::bad_input);
    }
    CHECK(parse_frequency("14250").error().sentence() == "Say the unit of 14250: kHz, MHz or GHz.");
}

TEST_CASE("a signal lies where its mode puts it") {
    struct Row {
        const char* mode;
        std::int32_t width;
        std::optional<std::int32_t> tone;
        Span about;
    };
    const Row rows[] = {
        {"CW", 150, {}, {-75, 75}},      {"USB", 3000, {}, {0, 3000}},     {"LSB", 3000, {}, {-3000, 0}},
        {"USB", 2800, {}, {100, 2900}},  {"FM", 16000, {}, {-8000, 8000}}, {"FT8", 50, {}, {0, 3000}},
        {"FT8", 50, 1200, {1175, 1225}}, {"SSTV", 3000, {}, {0, 3000}},    {"USB", 4000, {}, {0, 4000}},
    };
    for (const Row& row : rows) {
        CAPTURE(row.mode);
        CAPTURE(row.width);
        CHECK(occupied(*find_emission_mode(row.mode), 0, row.width, row.tone) == row.about);
    }
}

TEST_CASE("a tone that is said makes a data signal as narrow as it is") {
    TransmitAsk ask = asked("10.149", "FT8", "G");
    CHECK(answered(ask).verdict == Verdict::no);
    ask.tone_hz = 600;
    CHECK(answered(ask).verdict == Verdict::yes);
}

TEST_CASE("SSB is the customary sideband of the place") {
    CHECK(answered(asked("7.200", "SSB", "E")).mode == "LSB");
    CHECK(answered(asked("14.200", "ssb", "E")).mode == "USB");
    CHECK(answered(asked("5.3305", "SSB", "E")).mode == "USB");
}

TEST_CASE("a refusal names the reason, the rule and the nearest place that is allowed") {
    struct Row {
        const char* frequency;
        const char* mode;
        const char* licence_class;
        const char* reason;
        const char* nearest;
    };
    static constexpr Row rows[] = {
        {"14.348", "USB", "G", "The signal reaches from 14.348 MHz to 14.351 MHz", "14.347 MHz"},
        {"3.601", "LSB", "E", "and Amateur Extra may send LSB there from 3.60 MHz", "3.603 MHz"},
        {"14.250", "USB", "T", "Technician has no rights at 14.25 MHz", "21.0"},
        {"7.150", "LSB", "G", "General has no rights at 7.15 MHz", "7.178 MHz"},
        {"7.074", "FT8", "T", "At 7.074 MHz Technician may send Morse, and not FT8", "28.00 MHz"},
        {"144.050", "FM", "T", "may send Morse, and not FM", "144.108 MHz"},
        {"27.205", "USB", "E", "27.205 MHz is in no amateur band of the United States", "28.30 MHz"},
        {"5.3322", "CW", "G", "On this channel CW belongs in its middle, on 5.332 MHz", "5.332 MHz"},
        {"28.400", "FM", "T", "speech on a sideband", "50.108 MHz"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.frequency);
        CAPTURE(row.mode);
        const TransmitAnswer answer = answered(asked(row.frequency, row.mode, row.licence_class));
        CHECK(answer.verdict == Verdict::no);
        CAPTURE(answer.reason);
        CHECK(answer.reason.find(row.reason) != std::string::npos);
        CHECK_FALSE(answer.rule.empty());
        REQUIRE(answer.nearest_hz);
        const bool far = std::string(row.nearest) == "21.0";  // no speech for this class between 14 and 28 MHz
        CHECK(frequency_words(*answer.nearest_hz) == (far ? "28.30 MHz" : row.nearest));
    }
}

TEST_CASE("the nearest place is itself allowed, for every class and mode and wherever one starts") {
    for (const LicenceClass& c : us().classes) {
        for (const char* mode : {"CW", "USB", "LSB", "FM", "FT8", "RTTY", "SSTV"}) {
            for (std::int64_t hz = 1'700'000; hz < 160'000'000; hz += 1'234'500) {
                TransmitAsk ask;
                ask.control_class = c.code;
                ask.frequency_hz = hz;
                ask.mode = mode;
                const auto first = answered(ask);
                if (!first.nearest_hz) continue;
                ask.frequency_hz = *first.nearest_hz;
                const auto second = answered(ask);
                if (second.verdict != Verdict::yes) {
                    CAPTURE(c.code);
                    CAPTURE(mode);
                    CAPTURE(hz);
                    FAIL("the nearest place is not allowed");
                }
            }
        }
    }
}

TEST_CASE("without a power the answer says how much it may be") {
    const auto answer = answered(asked("28.400", "USB", "T"));
    REQUIRE(answer.limits.size() == 1);
    CHECK(power_words(answer.limits.front()) == "200 W PEP");
}

TEST_CASE("where the limit holds at the antenna, its gain counts") {
    TransmitAsk ask = asked("5.3305", "USB", "G");
    ask.power_w = 100;
    CHECK(remarked(answered(ask), "half-wave dipole"));
    ask.gain_dbd = 3;
    const auto strong = answered(ask);
    CHECK(strong.verdict == Verdict::no);
    CHECK(strong.reason.find("199.53 W ERP is more than the 100 W ERP") != std::string::npos);
    ask.power_w = 50;
    CHECK(answered(ask).verdict == Verdict::yes);
    ask.gain_dbd = -3;
    ask.power_w = 199;
    CHECK(answered(ask).verdict == Verdict::yes);
}

TEST_CASE("where a limit holds at the antenna and another at the transmitter, both are said and both are held") {
    TransmitAsk ask = asked("0.475", "CW", "G");
    ask.gain_dbd = -30;
    const auto open = answered(ask);
    REQUIRE(open.limits.size() == 2);
    CHECK(power_words(open.limits[0]) == "5 W EIRP");
    CHECK(power_words(open.limits[1]) == "500 W PEP");
    ask.power_w = 1400;
    const auto strong = answered(ask);
    CHECK(strong.verdict == Verdict::no);
    CHECK(strong.reason.find("1400 W PEP is more than the 500 W PEP") != std::string::npos);
}

TEST_CASE("a transmitter's limit is held beside every limit at the antenna") {
    for (const Privilege& line : us().privileges) {
        if (line.basis == PowerBasis::pep) continue;
        CAPTURE(line.span.low_hz);
        const bool paired = std::any_of(us().privileges.begin(), us().privileges.end(), [&](const Privilege& other) {
            return other.span == line.span && other.emissions.size() == line.emissions.size() &&
                   other.emissions[0].kind == line.emissions[0].kind && other.basis == PowerBasis::pep;
        });
        CHECK(paired);
    }
}

TEST_CASE("a sideband on a 60 m channel is counted as narrow as the channel asks") {
    const auto answer = answered(asked("5.3305", "USB", "G"));
    CHECK(answer.signal == Span{5'330'600, 5'333'400});
    CHECK(remarked(answer, "no wider than 2.8 kHz"));
    TransmitAsk wide = asked("5.3305", "USB", "G");
    wide.width_hz = 3000;
    CHECK(answered(wide).reason.find("wider than the 2.8 kHz") != std::string::npos);
}

TEST_CASE("a width that was said is never called the most that is allowed") {
    // 47 CFR 97.305(c) and 97.307(f) hold no limit of 2.4 kHz for speech on 20 m and none of 11 kHz on 2 m.
    TransmitAsk narrow = asked("14.25", "USB", "G");
    narrow.width_hz = 2400;
    CHECK(answered(narrow).verdict == Verdict::yes);
    CHECK_FALSE(remarked(answered(narrow), "no wider than"));
    TransmitAsk fm = asked("146.52", "FM", "T");
    fm.width_hz = 11'000;
    CHECK_FALSE(remarked(answered(fm), "no wider than"));
}

TEST_CASE("a power a hair above the limit is not called more than itself") {
    // 47 CFR 97.313(c)(2): 200 W PEP for a Technician on 10 m.
    TransmitAsk ask = asked("28.4", "USB", "T");
    ask.power_w = 200.004;
    const TransmitAnswer answer = answered(ask);
    CHECK(answer.verdict == Verdict::no);
    CHECK(answer.reason ==
          "The place and the mode are right, but that is a little more than the 200 W PEP that are allowed there.");
}

TEST_CASE("data wider than a segment takes is refused") {
    TransmitAsk ask = asked("14.100", "DATA", "G");
    ask.width_hz = 2800;
    CHECK(answered(ask).verdict == Verdict::yes);
    ask.width_hz = 2801;
    CHECK(answered(ask).verdict == Verdict::no);
    ask.width_hz.reset();
    CHECK(may_transmit(us(), ask).error().sentence() == "Say how wide the signal is, in Hz: DATA tells nothing of it.");
}

TEST_CASE("without a licence the answer is no, and names the way as a guest") {
    const auto answer = answered(asked("146.520", "FM", ""));
    CHECK(answer.verdict == Verdict::no);
    CHECK(remarked(answer, "As a guest you may speak at once"));
}

TEST_CASE("a line that was not checked is answered with not known") {
    const RuleBook& canada = *shipped_rule_book("ca").value();
    TransmitAsk ask = asked("146.520", "FM", "B");
    const auto answer = may_transmit(canada, ask).value();
    CHECK(answer.verdict == Verdict::not_known);
    CHECK(answer.reason.find("was not checked") != std::string::npos);
}

TEST_CASE("unknown classes and modes are said with those that there are") {
    CHECK(
        may_transmit(us(), asked("14.2", "USB", "Z")).error().sentence() ==
        "There is no class 'Z' in the United States; there are N (Novice), T (Technician), G (General), A (Advanced), "
        "E (Amateur Extra), and none.");
    CHECK(may_transmit(us(), asked("14.2", "SEMAPHORE", "E")).error().fault() == Fault::bad_input);
}

TEST_CASE("a power, gain or width that makes no sense is a sentence") {
    TransmitAsk ask = asked("14.2", "USB", "E");
    ask.power_w = 0;
    CHECK(may_transmit(us(), ask).error().sentence() == "Say the power in watts, as 100.");
    ask.power_w = std::nan("");
    CHECK_FALSE(may_transmit(us(), ask).has_value());
    ask.power_w = 5;
    ask.gain_dbd = 600;
    CHECK_FALSE(may_transmit(us(), ask).has_value());
    ask.gain_dbd = 0;
    ask.width_hz = 0;
    CHECK_FALSE(may_transmit(us(), ask).has_value());
}
