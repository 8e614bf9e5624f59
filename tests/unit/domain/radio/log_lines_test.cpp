#include "node/domain/radio/log_lines.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

LogLine line_of(std::string_view text) {
    const auto read = read_log_line(text);
    REQUIRE(read.has_value());
    REQUIRE(std::holds_alternative<LogLine>(read.value()));
    return std::get<LogLine>(read.value());
}

// The parts with a bar between them, so that one comparison shows what went where.
std::string parts_of(std::string_view text) {
    const LogLine line = line_of(text);
    return (line.minute_of_day ? std::to_string(*line.minute_of_day) : "-") + "|" + line.call + "|" + line.frequency +
           "|" + line.mode + "|" + line.sent + "|" + line.received + "|" + line.remark;
}

}  // namespace

TEST_CASE("a line is read as people write it") {
    struct Case {
        const char* line;
        const char* parts;
    };
    const Case cases[] = {
        {"KD0XAA", "-|KD0XAA|||||"},
        {"  kd0xaa  59  57  Anna near the lake ", "-|kd0xaa|||59|57|Anna near the lake"},
        {"1905 KD0XAA 59 57 Anna", "1145|KD0XAA|||59|57|Anna"},
        {"19:05 KD0XAA", "1145|KD0XAA|||||"},
        {"9:05 KD0XAA", "545|KD0XAA|||||"},
        {"0000Z KD0XAA", "0|KD0XAA|||||"},
        {"1905\tKD0XAA\t146.52\tFM\t59\t57\tAnna", "1145|KD0XAA|146.52|FM|59|57|Anna"},
        {"KD0XAA 146.52 MHz fm 59", "-|KD0XAA|146.52|fm|59||"},
        {"KD0XAA CW 599 5NN", "-|KD0XAA||CW|599|5NN|"},
        {"KD0XAA FT8 -12 +03", "-|KD0XAA||FT8|-12|+03|"},
        {"F/KD0XAA/P 59", "-|F/KD0XAA/P|||59||"},
        {"KD0XAA / 59 is the house number", "-|KD0XAA|||||59 is the house number"},
        {"KD0XAA 59 57 59 years old", "-|KD0XAA|||59|57|59 years old"},
        {"KD0XAA am happy", "-|KD0XAA|||||am happy"},
        {"KD0XAA 60 metres away", "-|KD0XAA|||||60 metres away"},
        {"KD0XAA loud, 59", "-|KD0XAA|||||loud, 59"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.line);
        CHECK(parts_of(c.line) == c.parts);
    }
}

TEST_CASE("a line that is only a day turns the page") {
    const auto read = read_log_line(" 2026-11-25 ");
    REQUIRE(read.has_value());
    REQUIRE(std::holds_alternative<Day>(read.value()));
    CHECK(to_iso(std::get<Day>(read.value())) == "2026-11-25");
}

TEST_CASE("empty lines and remarks are no lines") {
    for (const char* line : {"", "   ", "\r", "# net of Tuesday"}) {
        const auto read = read_log_line(line);
        REQUIRE(read.has_value());
        CHECK(std::holds_alternative<std::monostate>(read.value()));
    }
}

TEST_CASE("a line without a call sign, or with a time that does not exist, has one sentence") {
    struct Case {
        const char* line;
        const char* named;
    };
    const Case cases[] = {{"Anna 59 57", "'Anna' is no call sign"},      {"1905", "no call sign behind it"},
                          {"1905 59 KD0XAA", "'59' is no call sign"},    {"2405 KD0XAA", "'2405' is no time of day"},
                          {"19:60 KD0XAA", "'19:60' is no time of day"}, {"?!", "'?!' is no call sign"}};
    for (const Case& c : cases) {
        CAPTURE(c.line);
        const auto read = read_log_line(c.line);
        REQUIRE_FALSE(read.has_value());
        CHECK(read.error().fault() == Fault::bad_input);
        CHECK(read.error().sentence().find(c.named) != std::string::npos);
        CHECK(read.error().sentence().back() == '.');
    }
}

TEST_CASE("what was read can be written and read again") {
    for (const char* text : {"KD0XAA", "1905 KD0XAA 146.52 FM 59 57 Anna", "0005 F/KD0XAA/P -12 / 73 and / more",
                             "KD0XAA 59 / FM is quiet tonight"}) {
        CAPTURE(text);
        CHECK(parts_of(write_log_line(line_of(text))) == parts_of(text));
    }
}

TEST_CASE("an evening goes past midnight, and a time a little earlier does not") {
    const Day day = parse_day("2026-11-25").value();
    CHECK(day_of_line(day, 23 * 60 + 50, 10) == day + 1);
    CHECK(day_of_line(day, 60, 50) == day);
    CHECK(day_of_line(day, 0, 23 * 60) == day);
}
