// Sunrise, sunset, twilight and the grey line against published examples, almanac tables and another program.
#include "node/domain/radio/sun.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "tests/support/domain/check_data.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

Day day(const char* iso) {
    return parse_day(iso).value();
}

// Seconds of the UT day `on`.
double seconds(std::optional<WallTime> at, Day on) {
    return static_cast<double>(at.value().ms - start_of(on).ms) / 1000;
}

double clock_s(int hour, int minute, double second) {
    return 3600.0 * hour + 60.0 * minute + second;
}

Position at(const char* locator) {
    return Locator::parse(locator).value().centre();
}

// "19:11" -> minutes.
double minutes_of(const std::string& text) {
    return 60 * std::stod(text.substr(0, 2)) + std::stod(text.substr(3));
}

// event, site, UT date, latitude, longitude, kind of day, rise, set. An event of a solar day may fall on the UT date
// before or after it.
void check_almanac_row(const std::vector<std::string>& row) {
    const Day on = day(row.at(2).c_str());
    const Position place{std::stod(row.at(3)), std::stod(row.at(4))};
    const double height = row.at(0) == "sun" ? rise_height_deg : civil_height_deg;
    if (row.at(5) != "NORMAL") {
        CHECK(row.at(5) == "ALL_DAY");
        CHECK(sun_events(on, place, height).kind == SunDay::stays_above);
        return;
    }
    double rise_off = 1e9;
    double set_off = 1e9;
    for (const Day d : {on + -1, on, on + 1}) {
        const SunEvents sun = sun_events(d, place, height);
        if (sun.rise) rise_off = std::min(rise_off, std::fabs(seconds(sun.rise, on) / 60 - minutes_of(row.at(6))));
        if (sun.set) set_off = std::min(set_off, std::fabs(seconds(sun.set, on) / 60 - minutes_of(row.at(7))));
    }
    CHECK(rise_off < 0.6);
    CHECK(set_off < 0.6);
}

}  // namespace

TEST_CASE("the sun stands where the worked example of the almanac book has it") {
    // J. Meeus, Astronomical Algorithms, 2nd ed., examples 25.a and 28.b: 1992 October 13, 0 h dynamical time.
    const SunPosition sun = sun_at(2'448'908.5);
    CHECK(std::fabs(sun.apparent_longitude_deg - 199.90895) < 1.5e-5);
    CHECK(std::fabs(sun.obliquity_deg - 23.43999) < 1e-5);
    CHECK(std::fabs(sun.right_ascension_deg - 198.38083) < 1.5e-5);
    CHECK(std::fabs(sun.declination_deg - -7.78507) < 1e-5);
    CHECK(std::fabs(60 * sun.equation_of_time_min - (13 * 60 + 42.7)) < 0.15);
}

TEST_CASE("rise and set agree with the tables of the solar position algorithm") {
    // I. Reda and A. Andreas, Solar Energy 76 (2004), table A2.1 and the test case of their program; values from
    // memory.
    struct Row {
        const char* day;
        double latitude_deg;
        double rise_s;
        double set_s;
    };
    for (const Row& row : {Row{"1994-01-02", 35, clock_s(7, 8, 12.8), clock_s(16, 59, 55.9)},
                           Row{"1996-07-05", -35, clock_s(7, 8, 15.4), clock_s(17, 1, 4.5)},
                           Row{"2004-12-04", -35, clock_s(4, 38, 57.1), clock_s(19, 2, 2.5)}}) {
        const SunEvents sun = sun_events(day(row.day), {row.latitude_deg, 0}, rise_height_deg);
        CHECK(std::fabs(seconds(sun.rise, day(row.day)) - row.rise_s) < 1.3);
        CHECK(std::fabs(seconds(sun.set, day(row.day)) - row.set_s) < 1.3);
    }
    const SunEvents golden = sun_events(day("2003-10-17"), {39.742476, -105.1786}, rise_height_deg);
    CHECK(std::fabs(seconds(golden.rise, day("2003-10-17")) - clock_s(13, 12, 43)) < 1);  // 06:12:43 local
}

TEST_CASE("rise, set and twilight agree with another program to a few seconds") {
    // PyEphem 4.1.4; seconds of the UT day, whether before or after midnight.
    struct Row {
        const char* day;
        Position place;
        double height_deg;
        double rise_s;
        double set_s;
    };
    const Position greenwich{51.4779, 0};
    for (const Row& row :
         {Row{"2026-06-21", greenwich, rise_height_deg, clock_s(3, 42, 45.1), clock_s(20, 20, 52.6)},
          Row{"2026-06-21", greenwich, civil_height_deg, clock_s(2, 55, 2.9), clock_s(21, 8, 34.7)},
          Row{"2026-03-20", {40.7128, -74.0060}, rise_height_deg, clock_s(10, 59, 18.1), clock_s(23, 8, 11)},
          Row{"2026-10-15", {0, -78.5}, rise_height_deg, clock_s(10, 56, 25.9), clock_s(23, 3, 2.7)},
          Row{"2026-12-21", {69.65, 18.96}, civil_height_deg, clock_s(8, 31, 15.2), clock_s(12, 53, 7.8)},
          Row{"2026-02-01", {61.2181, -149.9003}, rise_height_deg, clock_s(18, 19, 18.5), clock_s(26, 7, 57.3)}}) {
        const SunEvents sun = sun_events(day(row.day), row.place, row.height_deg);
        REQUIRE(sun.kind == SunDay::ordinary);
        CHECK(std::fabs(seconds(sun.rise, day(row.day)) - row.rise_s) < 5);
        CHECK(std::fabs(seconds(sun.set, day(row.day)) - row.set_s) < 5);
    }
}

TEST_CASE("beyond the polar circle the sun stays up in June and down in December") {
    const Position tromso{69.65, 18.96};
    CHECK(sun_events(day("2026-06-21"), tromso, rise_height_deg).kind == SunDay::stays_above);
    CHECK(sun_events(day("2026-12-21"), tromso, rise_height_deg).kind == SunDay::stays_below);
    CHECK(light_at({start_of(day("2026-06-21")).ms}, tromso) == Light::day);
    CHECK(light_at({start_of(day("2026-12-21")).ms}, tromso) == Light::night);
    CHECK(light_at({start_of(day("2026-12-21")).ms + 11 * 3'600'000}, tromso) == Light::twilight);
}

// Low-precision formula of the Astronomical Almanac (page C5), coefficients from memory, worked out apart from this
// program: good to 0.01 degrees. Around the first sunset and the first dusk of a season, and in a polar night.
TEST_CASE("the sun's height agrees with the formula of the almanac, and decides what is day") {
    struct Row {
        const char* day;
        int hour;
        Position place;
        double height_deg;
        Light light;
    };
    for (const Row& row : {Row{"2026-08-01", 0, {71.29, -156.79}, 35.251, Light::day},
                           Row{"2026-02-19", 0, {-77.85, 166.67}, 22.950, Light::day},
                           Row{"2026-07-26", 9, {64.84, -147.72}, -5.049, Light::twilight},
                           Row{"2026-12-21", 11, {69.65, 18.96}, -3.140, Light::twilight}}) {
        CAPTURE(row.day);
        const WallTime at{start_of(day(row.day)).ms + row.hour * 3'600'000};
        CHECK(std::fabs(sun_height_deg(at, row.place) - row.height_deg) < 0.02);
        CHECK(light_at(at, row.place) == row.light);
    }
}

TEST_CASE("every row of the naval observatory's tables agrees to its rounding") {
    // US Naval Observatory, sun and civil twilight for Anchorage and Brasilia, 2020; to the minute, by UT date.
    const auto text = test::check_file("vectors/sun_usno.csv");
    if (!text) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; vectors/sun_usno.csv was not looked at.");
        return;
    }
    std::size_t rows = 0;
    for (const auto& row : test::rows_of(*text)) {
        if (row.at(0) == "event") continue;
        INFO(row.at(1), " ", row.at(2), " ", row.at(0));
        check_almanac_row(row);
        rows += 1;
    }
    CHECK(rows > 100);
}

TEST_CASE("the grey line of a path is where both ends have it") {
    // Not outside: a second program, written apart from this one; to a tenth of a minute.
    const auto tenths = [](WallTime at, Day on) { return std::round(seconds(at, on) / 6) / 10; };
    const Day one = day("2026-11-25");
    const auto east = grey_line(one, at("FN31pr"), at("PM95vq"));
    REQUIRE(east.size() == 1);
    CHECK(tenths(east[0].from, one) == doctest::Approx(20 * 60 + 59.2));
    CHECK(tenths(east[0].to, one) == doctest::Approx(21 * 60 + 54.0));
    const Day two = day("2026-06-21");
    const auto south = grey_line(two, at("JN58td"), at("RE78ir"));
    REQUIRE(south.size() == 1);
    CHECK(tenths(south[0].from, two) == doctest::Approx(19 * 60 + 16.0));
    CHECK(tenths(south[0].to, two) == doctest::Approx(19 * 60 + 59.0));
    CHECK(grey_line(day("2026-03-20"), at("IO91wm"), at("QF56od")).empty());
}

// The altitude of the sun by the low-precision formula of the Astronomical Almanac (page C5), minute by minute, against
// civil twilight as the naval observatory defines it: the centre of the sun not lower than 6 degrees below the horizon.
TEST_CASE("a night without darkness is grey from half an hour before sunset to half an hour after sunrise") {
    // 61.5 N, 149 W: the sun stays between -0.83 and -5.36 degrees from 07:43 to 12:13 UT.
    const Day on = day("2026-06-21");
    const auto grey = grey_line(on, at("BP51"));
    REQUIRE(grey.size() == 1);
    CHECK(std::fabs(seconds(grey[0].from, on) - clock_s(7, 13, 0)) < 90);
    CHECK(std::fabs(seconds(grey[0].to, on) - clock_s(12, 43, 0)) < 90);
}

TEST_CASE("a polar night with twilight at noon is grey while that twilight lasts") {
    // 69.65 N, 18.96 E: above -6 degrees from 08:32 to 12:54 UT, never above -0.83.
    const Day on = day("2026-12-21");
    const auto grey = grey_line(on, {69.65, 18.96});
    REQUIRE(grey.size() == 1);
    CHECK(std::fabs(seconds(grey[0].from, on) - clock_s(8, 32, 0)) < 90);
    CHECK(std::fabs(seconds(grey[0].to, on) - clock_s(12, 54, 0)) < 90);
}
