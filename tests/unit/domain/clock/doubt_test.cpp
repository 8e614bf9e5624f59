#include "node/domain/clock/doubt.hpp"

#include <doctest/doctest.h>

#include <limits>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

constexpr std::int64_t hour_ms = 3'600'000;
constexpr std::int64_t day_ms = 24 * hour_ms;

WallTime utc(std::string_view iso) {
    const auto out = parse_utc(iso);
    REQUIRE(out.has_value());
    return out.value();
}

ClockFacts on_thursday() {
    ClockFacts out;
    out.now = utc("2026-11-26T12:00Z");
    out.made = utc("2026-11-01T12:00Z");
    out.own_newest = utc("2026-11-26T11:00Z");
    return out;
}

std::string sentence(const std::optional<ClockDoubt>& doubt) {
    return doubt ? doubt->sentence : std::string();
}
bool has(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("what is known decides whether a clock is doubted, and by which sign") {
    struct Row {
        const char* name;
        std::int64_t now_moved_ms;
        std::vector<std::int64_t> others_ahead_ms;
        std::optional<ClockSign> sign;
    };
    const Row rows[] = {
        {"nothing is known", 0, {}, std::nullopt},
        {"three agree", 0, {0, 60'000, -60'000}, std::nullopt},
        {"at the margin", 0, {clock_margin_ms, -clock_margin_ms}, std::nullopt},
        {"one beyond the margin", 0, {clock_margin_ms + 1}, ClockSign::some_others},
        {"one behind by it", 0, {-clock_margin_ms - 1}, ClockSign::some_others},
        {"one of three", 0, {day_ms, 0, 0}, ClockSign::some_others},
        {"two of three", 0, {day_ms, day_ms, 0}, ClockSign::most_others},
        {"two of four", 0, {day_ms, day_ms, 0, 0}, ClockSign::some_others},
        {"two in two directions", 0, {day_ms, -day_ms}, ClockSign::some_others},
        {"two behind", 0, {-hour_ms, -hour_ms}, ClockSign::most_others},
        {"set back behind own words", -2 * hour_ms, {}, ClockSign::before_own_words},
        {"set back a little", -hour_ms - clock_margin_ms + hour_ms, {}, std::nullopt},
        {"behind own words, but another agrees", -2 * hour_ms, {0}, std::nullopt},
        {"behind own words, and one is ahead", -2 * hour_ms, {2 * hour_ms}, ClockSign::before_own_words},
        {"behind own words, and two are ahead", -2 * hour_ms, {2 * hour_ms, 2 * hour_ms}, ClockSign::most_others},
        {"before the program", -60 * day_ms, {}, ClockSign::before_program},
        {"before the program, whatever others say", -60 * day_ms, {0, 0}, ClockSign::before_program},
    };
    for (const Row& row : rows) {
        CAPTURE(row.name);
        ClockFacts facts = on_thursday();
        facts.now.ms += row.now_moved_ms;
        for (const std::int64_t ahead : row.others_ahead_ms) facts.others.push_back({"Ben", ahead});
        const auto doubt = clock_doubt(facts);
        CHECK(doubt.has_value() == row.sign.has_value());
        if (doubt && row.sign) CHECK(doubt->sign == *row.sign);
    }
}

TEST_CASE("a program made a few hours ahead of the clock is no sign, because days of makers differ") {
    ClockFacts facts = on_thursday();
    facts.own_newest.reset();
    facts.made = WallTime{facts.now.ms + 20 * hour_ms};
    CHECK_FALSE(clock_doubt(facts).has_value());
}

TEST_CASE("one other clock is named with both times, and nobody is called wrong") {
    ClockFacts facts = on_thursday();
    facts.others = {{"Ben", ahead_ms(utc("2027-03-02T19:05Z"), facts.now)}};
    const std::string said = sentence(clock_doubt(facts));
    CHECK(has(said, "By the clock of Ben it is Tuesday, 2 March 2027, 19:05 UTC"));
    CHECK(has(said, "by this machine's Thursday, 26 November 2026, 12:00 UTC"));
    CHECK(has(said, "one of the two clocks is wrong"));
    CHECK(has(said, "Nothing is lost"));
}

TEST_CASE("where others agree with this machine, that is said with the one that does not") {
    ClockFacts facts = on_thursday();
    facts.others = {{"Ben", day_ms}, {"Cora", 0}, {"Dan", 0}};
    CHECK(has(sentence(clock_doubt(facts)), "2 other machines agree with this one"));
}

TEST_CASE("where most others disagree, three of them are named and this machine's clock is to be set") {
    ClockFacts facts = on_thursday();
    facts.others = {{"Ben", day_ms}, {"Cora", day_ms}, {"Dan", day_ms}, {"Eve", day_ms}, {"Finn", day_ms}};
    const std::string said = sentence(clock_doubt(facts));
    CHECK(has(said, "those of Ben, Cora, Dan and 2 more say about Friday, 27 November 2026, 12:00 UTC"));
    CHECK(has(said, "Set the clock of this machine"));
}

TEST_CASE("times of a program gone mad are said as the edge of what can be written") {
    for (const std::int64_t ms : {std::numeric_limits<std::int64_t>::max(), std::numeric_limits<std::int64_t>::min()}) {
        ClockFacts facts = on_thursday();
        facts.others = {{"Ben", ahead_ms(WallTime{ms}, facts.now)}};
        const std::string said = sentence(clock_doubt(facts));
        CHECK(has(said, ms > 0 ? "31 December 9999" : "1 January 1970"));
    }
}

TEST_CASE("a clock from before 1970 is doubted in a sentence, too") {
    ClockFacts facts = on_thursday();
    facts.now.ms = -5 * day_ms;
    CHECK(has(sentence(clock_doubt(facts)), "this program was made on Sunday, 1 November 2026"));
}
