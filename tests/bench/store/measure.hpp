#pragma once
// Sides taking turns at one piece of work, and the figures that come of it.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "tests/bench/store/side.hpp"

namespace ladderline::bench {

// On the wall, and of the processor, which other programs on the machine disturb less.
struct Taken {
    double wall_ms = 0;
    double cpu_ms = 0;
};

Taken time_of(const std::function<void()>& work);

// One round is all slices on all sides; slice by slice the sides take turns, so that whatever else the machine does
// falls on all of them. Only `slice` is timed.
struct Work {
    std::string name;
    int rounds = 5;
    std::size_t slices = 1;
    std::function<void(Side&)> prepare;
    std::function<void(Side&, std::size_t slice)> slice;
};

// What one side took, one entry a round.
struct Series {
    Kind kind = Kind::plain;
    std::vector<double> wall_ms;
    std::vector<double> cpu_ms;
};

std::vector<Series> measure(const Work& work, const std::vector<Side*>& sides);

double median(std::vector<double> values);

// One line of the result. A ratio is that of the medians on the wall; its spread, the least and greatest of the rounds.
struct Line {
    struct Compared {
        Kind kind = Kind::plain;
        double wall_ms = 0;
        double cpu_ms = 0;
        double ratio = 0;
        double cpu_ratio = 0;
        double ratio_min = 0;
        double ratio_max = 0;
    };

    std::string place;
    std::string name;
    int rounds = 0;
    // Plain first, if it took part. Empty for a figure that has no plain counterpart.
    std::vector<Compared> sides;
    // For such a figure.
    std::string unit;
    double value = 0;
    double value_min = 0;
    double value_max = 0;
    double value_cpu = 0;  // for a time: of the processor
    // Of the ratio of the vault, or of `value`.
    std::optional<double> budget;
};

// `series`: plain first; without it there is nothing to compare with, and no budget.
Line line_of(const std::string& place, const Work& work, const std::vector<Series>& series,
             std::optional<double> budget);

void print_heading();
void print(const Line& line);
// One JSON object on one line.
std::string json_of(const Line& line);
// True unless the line is above its budget.
bool holds(const Line& line);

}  // namespace ladderline::bench
