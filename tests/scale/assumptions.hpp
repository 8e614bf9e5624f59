#pragma once
// What is assumed of people, machines and lines. Every figure here is a guess of ours ("common practice, no source")
// and stands in the report; what follows from it does not.

#include <array>
#include <cstdint>
#include <string_view>
#include <vector>

#include "tests/simulation/dice.hpp"

namespace ladderline::scale {

using simulation::Dice;

inline constexpr std::uint32_t minute_s = 60;
inline constexpr std::uint32_t hour_s = 3600;
inline constexpr std::uint32_t day_s = 24 * hour_s;

// When a device is on.
enum class Habit : std::uint8_t { always, evenings, often, weekly };
struct HabitLine {
    std::string_view words;
    double share;          // of people's first devices
    double sessions_week;  // times that it is switched on
    std::uint32_t from_s;  // of the day, local; the earliest start
    std::uint32_t spread_s;
    std::uint32_t length_s;
};
inline constexpr std::array<HabitLine, 4> habits{{
    {"always on", 0.10, 7, 0, 0, day_s},
    {"every evening for two hours", 0.15, 7, 18 * hour_s, 3 * hour_s, 2 * hour_s},
    {"four days a week for an hour", 0.55, 4, 9 * hour_s, 13 * hour_s, hour_s},
    {"once a week for three quarters of an hour", 0.20, 1, 9 * hour_s, 13 * hour_s, 45 * minute_s},
}};

struct Assumptions {
    double officers = 0.03;  // shares of a club; the rest are newcomers
    double mentors = 0.30;
    double second_device = 0.15;       // of members have one more, on as "four days a week"
    double second_device_share = 0.3;  // of its owner's words are written there
    double triples = 0.25;             // of paths have a second mentor
    std::uint32_t away_days = 14;      // once a year, all but those always on
    double going_month = 0.02;         // of a club's members go in 30 days, and as many come
    double up_days_mean = 10;          // of a courier, between two outages
    double outage_s_mean = 5.0 * hour_s;
    unsigned failed_calls = 200;   // of 10,000 calls do not come about
    unsigned cut_calls = 100;      // of 10,000 calls are cut before the first event arrives
    std::uint32_t keep_days = 90;  // a courier's, for copies of keys

    // node/net/courier_visits.hpp, in seconds.
    std::uint32_t after_news_s = 2;
    std::uint32_t again_s = 300;
    std::uint32_t again_spread_s = 60;
    std::uint32_t first_retry_s = 5;
    std::uint32_t last_retry_s = hour_s;
};

enum class Part : std::uint8_t { officer, mentor, newcomer };
enum class Place : std::uint8_t { club, path, desk };

// Something that people say: how often a week each of that part says it there, and how long its plain body is, as the
// production encoder makes it of invented words.
struct Saying {
    Place place = Place::club;
    Part part = Part::newcomer;
    std::string_view what;
    double a_week = 0;
    std::uint16_t plain_bytes = 0;
};
const std::vector<Saying>& sayings();
// Plain bodies of what decides who belongs to a circle. A removal names the logs of one device.
struct ControlBytes {
    std::uint16_t admit = 0;
    std::uint16_t paper_box = 0;
    std::uint16_t remove = 0;
    std::uint16_t rotate = 0;
    std::uint16_t card = 0;
    std::uint16_t found = 0;
};
const ControlBytes& control_bytes();

// 0 <= draw < 1.
double fraction(Dice& dice);
// With that mean; none or more.
std::uint32_t poisson(Dice& dice, double mean);
double exponential(Dice& dice, double mean);

}  // namespace ladderline::scale
