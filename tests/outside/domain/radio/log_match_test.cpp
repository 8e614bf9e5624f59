// Two logs of the same contacts: our own simulation, which knows what belongs together. The clock differences are own
// formula, not outside: a program written apart from this one.
#include "node/domain/radio/log_match.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>

#include "tests/support/domain/check_data.hpp"

using namespace ladderline::domain;

namespace {

// What the reference simulation wrote down beside each row: the contact that it belongs to.
struct MarkedLog {
    std::vector<MatchRow> rows;
    std::vector<std::string> truth;
};

// case, row, own call, worked call, minute, band, mode, truth.
std::map<std::string, MarkedLog> logs_in(const std::string& text) {
    std::map<std::string, MarkedLog> out;
    for (const auto& row : ladderline::test::rows_of(text)) {
        const std::map<std::string, ModeGroup> groups{
            {"PHONE", ModeGroup::phone}, {"CW", ModeGroup::morse}, {"DATA", ModeGroup::data}};
        MarkedLog& log = out[row.at(0)];
        log.rows.push_back({split_call(row.at(2)).value(), split_call(row.at(3)).value(), std::stod(row.at(4)),
                            row.at(5), groups.at(row.at(6))});
        log.truth.push_back(row.at(7));
    }
    return out;
}

struct Expected {
    double minutes;
    double standard_error;
    std::size_t rows_used;
    std::size_t pairs;
};

}  // namespace

TEST_CASE("clock differences and pairs of the four simulated pairs of logs") {
    // Simulated logs of 60 days with nets, missing rows, miscopied calls and clocks that differ; figures by the
    // reference program.
    const std::map<std::string, Expected> expected{{"0", {0.579, 0.258, 159, 295}},
                                                   {"1", {7.099, 0.245, 153, 252}},
                                                   {"2", {-300.149, 0.189, 180, 254}},
                                                   {"3", {329.691, 0.185, 148, 218}}};
    const auto text_a = ladderline::test::check_file("vectors/logs_a.csv");
    const auto text_b = ladderline::test::check_file("vectors/logs_b.csv");
    if (!text_a || !text_b) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; vectors/logs_a.csv was not looked at.");
        return;
    }
    const auto logs_a = logs_in(*text_a);
    const auto logs_b = logs_in(*text_b);
    for (const auto& [name, want] : expected) {
        CAPTURE(name);
        const MarkedLog& a = logs_a.at(name);
        const MarkedLog& b = logs_b.at(name);
        const LogMatch found = match_logs(a.rows, b.rows);
        REQUIRE(found.clocks.has_value());
        // The files hold hundredths of a minute, the reference had more digits.
        CHECK(std::fabs(found.clocks->minutes - want.minutes) < 0.0105);
        CHECK(std::fabs(found.clocks->standard_error - want.standard_error) < 0.002);
        CHECK(found.clocks->pairs == want.rows_used);
        CHECK(found.agreed.size() == want.pairs);
        std::size_t wrong = 0;
        for (const RowPair& pair : found.agreed) wrong += a.truth[pair.a] != b.truth[pair.b] ? 1 : 0;
        CHECK(wrong == 0);
    }
}

TEST_CASE("a log in local time is told from a clock that is wrong") {
    // The two differences of the simulated logs that are kept in UTC-5 and UTC+5:30.
    CHECK(ClockDifference{-300.149, 0.189, 180}.looks_like_zone() == -300);
    CHECK(ClockDifference{329.691, 0.185, 148}.looks_like_zone() == 330);
    CHECK_FALSE(ClockDifference{7.099, 0.245, 153}.looks_like_zone().has_value());
    CHECK_FALSE(ClockDifference{0.579, 0.258, 159}.counts());
}
