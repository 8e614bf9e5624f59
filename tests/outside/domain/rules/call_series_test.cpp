// Holders of call-sign series: ITU Radio Regulations, Appendix 42, as given by two public lists that agree.

#include "node/domain/rules/call_series.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace ladderline::domain;

TEST_CASE("308 series are known, and none of them overlaps another") {
    const auto& all = shipped_call_series();
    CHECK(all.size() == 308);
    for (std::size_t k = 1; k < all.size(); ++k) {
        CAPTURE(all[k].first);
        CHECK(all[k - 1].last < all[k].first);
    }
}

TEST_CASE("prefixes are held as the lists say") {
    struct Row {
        const char* prefix;
        const char* holder;  // empty: nobody, or too little to tell
    };
    static constexpr Row rows[] = {
        {"K0", "United States of America"},
        {"AL0", "United States of America"},
        {"AMA", "Spain"},
        {"A", ""},
        {"KD0XAA", "United States of America"},
        {"W1", "United States of America"},
        {"VE3", "Canada"},
        {"CF0", "Canada"},
        {"G0", "United Kingdom"},
        {"2E0", "United Kingdom"},
        {"F5", "France"},
        {"I2", "Italy"},
        {"JA1", "Japan"},
        {"7J1", "Japan"},
        {"B1", "China"},
        {"R1", "Russian Federation"},
        // Three characters decide; two tell nothing.
        {"SSA", "Egypt"},
        {"SSM", "Egypt"},
        {"SSN", "Sudan"},
        {"STA", "Sudan"},
        {"SS", ""},
        {"3DA0", "Eswatini"},
        {"3DM", "Eswatini"},
        {"3DN", "Fiji"},
        {"3D", ""},
        {"3D2", ""},
        // Blocks that nobody holds.
        {"Q1ABC", ""},
        {"QQ1ABC", ""},
        {"X1", ""},
        {"Z6", ""},
        {"Z1", ""},
        {"4N1", ""},
        {"1A0", ""},
        {"0A1", ""},
        {"H5", ""},
        {"J9", ""},
        {"S4", ""},
        {"T9", ""},
        {"V9", ""},
        {"E8", ""},
        {"YZ1", ""},
    };
    for (const Row& row : rows) {
        CAPTURE(row.prefix);
        const auto holder = holder_of_call(row.prefix);
        CHECK((holder ? holder->holder : std::string()) == row.holder);
    }
}
