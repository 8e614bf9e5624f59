#pragma once
// On which continent a call sign belongs, as far as the call sign tells (node/rules/continents.tsv, from memory).

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/result.hpp"

namespace ladderline::domain {

struct ContinentTable {
    struct Line {
        std::string name;       // a holder of call_series.tsv, or how call signs begin
        std::string continent;  // two letters; "?" where nobody can tell
    };
    std::vector<Line> holders;
    std::vector<Line> starts;
};
// Strict: seven continents and "?", no name twice. The first bad line is named by its number.
Result<ContinentTable> parse_continents(std::string_view text);
const ContinentTable& shipped_continents();

// "Europe" for "EU"; empty for anything else.
std::string_view continent_name(std::string_view continent);
// Two letters. None: nobody holds the call sign, its holder is no country, or it cannot be told.
std::optional<std::string> continent_of_call(std::string_view call);
// The holder of its series where that is a country. Two call signs of unequal countries are of different countries; an
// organisation's is of none.
std::optional<std::string> country_of_call(std::string_view call);

}  // namespace ladderline::domain
