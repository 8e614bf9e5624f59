#include "node/domain/licence/clocks.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "embedded/rules.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::domain;

const std::string shipped(embedded::rules::f_clocks_tsv);

std::string with(const std::string& from, const std::string& to) {
    std::string text = shipped;
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

TEST_CASE("the shipped clocks have the lengths that the way is built on") {
    struct Row {
        std::string name;
        std::int32_t length;
    };
    const Row rows[] = {
        {"fee-reminder-1", 2},  {"fee-reminder-2", 5},
        {"fee-reminder-3", 8},  {"fee-last", 10},
        {"grant-expected", 10}, {"first-contact-target", 14},
        {"second-contact", 7},  {"first-contact-alarm", 30},
        {"touch-early", 7},     {"touch-middle", 14},
        {"touch-later", 30},    {"review-1", 30},
        {"review-2", 90},       {"review-3", 365},
        {"quiet", 21},          {"certificate-safe", 364},
        {"licence-term", 10},   {"renewal-window", 90},
        {"grace", 2},           {"consent-ahead", 60},
    };
    const auto& lines = shipped_clock_lines();
    for (const Row& row : rows) {
        CAPTURE(row.name);
        const auto at = std::find_if(lines.begin(), lines.end(), [&](auto& l) { return l.name == row.name; });
        REQUIRE(at != lines.end());
        CHECK(at->length == row.length);
    }
}

TEST_CASE("a clock that is a rule of the regulator names the rule") {
    for (const ClockLine& line : shipped_clock_lines()) {
        if (!line.hard) continue;
        CAPTURE(line.name);
        CHECK(line.source.find("47 CFR") != std::string::npos);
    }
}

TEST_CASE("a bad text of clocks is refused with the reason") {
    struct Row {
        std::string from;
        std::string to;
        std::string says;
    };
    const Row rows[] = {
        {"quiet\t21", "quiet\tmany", "needs three whole numbers"},
        {"quiet\t21", "quiet\t-1", "needs three whole numbers"},
        {"quiet\t21", "quiet\t0", "out of its range"},
        {"quiet\t21", "quite\t21", "'quite', which is no clock"},
        {"grace\t2\t0\t10", "quiet\t21\t0\t30", "repeats the clock 'quiet'"},
        {"quiet\t21\t1\t365\tdays", "quiet\t21\t1\t365\tweeks", "must count days or years"},
        {"quiet\t21\t1\t365\tdays\tsoft", "quiet\t21\t1\t365\tdays\tfirm", "hard or soft"},
        {"name\tlength", "name\tsize", "is not the heading"},
        {"fee-reminder-1\t2", "fee-reminder-1\t6", "'fee-reminder-1' may not be longer than 'fee-reminder-2'"},
        {"quiet\t", "# quiet\t", "'quiet' is missing"},
        {"from memory", "from memory\tx", "must have 8 fields"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.from);
        CAPTURE(row.to);
        const auto parsed = parse_clocks(with(row.from, row.to));
        REQUIRE_FALSE(parsed.has_value());
        CHECK(parsed.error().sentence().find(row.says) != std::string::npos);
    }
}

TEST_CASE("the bad line of a text of clocks is named by its number") {
    CHECK(parse_clocks(with("fee-reminder-1\t2", "fee-reminder-1\tx")).error().sentence().starts_with("Line 3 "));
}

}  // namespace
}  // namespace ladderline::test
