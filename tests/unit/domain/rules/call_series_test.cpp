#include "node/domain/rules/call_series.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::domain;

TEST_CASE("a bad line of the call series is named by its number") {
    struct Row {
        const char* text;
        const char* sentence;
    };
    static constexpr Row rows[] = {
        {"", "has no heading"},
        {"who\twhat\n", "Line 1 of call_series.tsv is not the heading"},
        {"holder\tseries\nFrance\tFAA-FZZ\textra\n", "Line 2 of call_series.tsv has another number of fields"},
        {"holder\tseries\n\tFAA-FZZ\n", "Line 2 of call_series.tsv names no holder"},
        {"holder\tseries\nFrance\tFAA\n", "Line 2 of call_series.tsv has a series that is not like AAA-ALZ"},
        {"holder\tseries\nFrance\tFZZ-FAA\n", "Line 2 of call_series.tsv has a series that is not like AAA-ALZ"},
        {"holder\tseries\nFrance\tFA1-FZZ\n", "Line 2 of call_series.tsv has a series that is not like AAA-ALZ"},
        {"holder\tseries\nFrance\tFAA-FZZ\nElsewhere\tFBA-FBZ\n",
         "Line 3 of call_series.tsv has a series that overlaps another"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.text);
        const auto read = parse_call_series(row.text);
        REQUIRE_FALSE(read.has_value());
        CHECK(read.error().sentence().find(row.sentence) != std::string::npos);
    }
}

TEST_CASE("a series that only one source has says so") {
    CHECK(holder_of_call("E6X")->in_one_source);
    CHECK_FALSE(holder_of_call("F0X")->in_one_source);
}

TEST_CASE("side marks are looked past, and a country before the stroke decides") {
    CHECK(holder_of_call("KD0XAA/P")->holder == "United States of America");
    CHECK(holder_of_call("F/KD0XAA")->holder == "France");
}

TEST_CASE("what is no call sign has no holder") {
    for (const char* text : {"", "/", "!", "1", "3"}) {
        CAPTURE(text);
        CHECK_FALSE(holder_of_call(text));
    }
}
