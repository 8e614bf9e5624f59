#include "node/domain/rules/continents.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "node/domain/rules/call_series.hpp"

using namespace ladderline;
using namespace ladderline::domain;

// The continents themselves are from memory (see the table's head), and so are these.
TEST_CASE("a call sign belongs to the continent of its country, or to that of its own beginning") {
    struct Case {
        const char* call;
        const char* continent;  // empty: not known
    };
    const Case cases[] = {{"KD0XAA", "NA"}, {"KH6", "OC"}, {"KP4", "NA"},     {"VE3", "NA"}, {"DL0", "EU"},
                          {"F5", "EU"},     {"FR5", "AF"}, {"FK8", "OC"},     {"EA3", "EU"}, {"EA8", "AF"},
                          {"CT1", "EU"},    {"CT3", "AF"}, {"G3", "EU"},      {"VP8", ""},   {"OX3", "NA"},
                          {"JA1", "AS"},    {"ZL1", "OC"}, {"LU1", "SA"},     {"UA3", ""},   {"TA1", ""},
                          {"4U1", ""},      {"Q1", ""},    {"F/KD0XAA", "EU"}};
    for (const Case& c : cases) {
        CAPTURE(c.call);
        CHECK(continent_of_call(c.call).value_or("") == c.continent);
    }
}

TEST_CASE("every holder of the table of series is in it, but for the organisations") {
    std::set<std::string> named;
    for (const auto& line : shipped_continents().holders) named.insert(line.name);
    std::set<std::string> missing;
    for (const CallSeries& series : shipped_call_series()) {
        if (!named.contains(series.holder)) missing.insert(series.holder);
        named.insert(series.holder);
    }
    CHECK(missing == std::set<std::string>{"International Civil Aviation Organization", "United Nations",
                                           "World Meteorological Organization"});
    CHECK(named.size() == shipped_continents().holders.size() + missing.size());
}

TEST_CASE("an organisation is no country") {
    CHECK_FALSE(country_of_call("4U1").has_value());
    CHECK(country_of_call("DL0") == "Germany");
    CHECK_FALSE(country_of_call("Q1").has_value());
}

TEST_CASE("a bad line of the table is named by its number") {
    const std::string head = "what\tname\tcontinent\n";
    for (const char* bad : {"place\tX\tEU", "holder\tX\tEurope", "holder\t\tEU", "start\tA\tEU\nstart\tA\tAS"}) {
        CAPTURE(bad);
        const auto parsed = parse_continents(head + bad + "\n");
        REQUIRE_FALSE(parsed.has_value());
        CHECK(parsed.error().sentence().find("continents.tsv") != std::string::npos);
    }
}
