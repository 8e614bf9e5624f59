#pragma once
// One sum of each topic before its choices are put in order; used by problems.cpp alone.

#include <functional>
#include <string>
#include <vector>

#include "node/domain/study/problems.hpp"
#include "node/domain/study/random.hpp"

namespace ladderline::domain::problem_sums {

struct Slip {
    double value = 0;
    std::string what;
};

struct Sum {
    std::string stem;
    double value = 0;
    std::vector<Slip> slips;  // more than three, so that some may fall together
    std::string working;
    std::function<std::string(double)> write;  // a value with its unit
};

Sum ohms_law(SplitMix64& generator);
Sum power(SplitMix64& generator);
Sum resistors(SplitMix64& generator);
Sum wavelength(SplitMix64& generator);
Sum dipole(SplitMix64& generator);
Sum decibels(SplitMix64& generator);
Sum prefixes(SplitMix64& generator);

}  // namespace ladderline::domain::problem_sums
