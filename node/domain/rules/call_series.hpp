#pragma once
// Whose call sign is it: the blocks that the ITU gave to countries and organisations (node/rules/call_series.tsv).

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/result.hpp"

namespace ladderline::domain {

struct CallSeries {
    std::string first;  // three characters, "SSA"
    std::string last;   // "SSM"; the first two characters are those of `first`, or the range runs over them
    std::string holder;
    bool in_one_source = false;  // the lists that were read do not agree on it
};

// Strict; no two series overlap. The first bad line is named by its number.
Result<std::vector<CallSeries>> parse_call_series(std::string_view text);
const std::vector<CallSeries>& shipped_call_series();  // by first member

struct CallHolder {
    std::string holder;
    std::string first;
    std::string last;
    bool in_one_source = false;
};
// The holder of a call sign, or of a prefix with as many characters as it takes to tell (three for 3D and SS). Side
// marks are looked past, and a country prefix before the base decides. None: nobody holds it, or too little was given.
std::optional<CallHolder> holder_of_call(std::string_view call);

}  // namespace ladderline::domain
