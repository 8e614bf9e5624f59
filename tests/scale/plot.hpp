#pragma once
// Plots as SVG: axes with words and units, lines with points, readable on a light and on a dark page.

#include <string>
#include <vector>

namespace ladderline::scale {

struct Line {
    std::string name;
    std::vector<std::pair<double, double>> points;  // in order of x; above 0 on an axis of powers
};

struct Plot {
    std::string title;
    std::string across;  // what, and in which unit
    std::string up;
    bool powers_across = true;  // an axis of powers of ten
    bool powers_up = true;
    std::vector<Line> lines;  // six at most
};

std::string svg_of(const Plot& plot);
// 1234567 as "1,234,567"; 0.1234 as "0.12".
std::string number_words(double value);

}  // namespace ladderline::scale
