#pragma once
// Published tables too large to type in: read from the folder named by LADDERLINE_CHECK_DATA, where there is one.

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <optional>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace ladderline::test {

// The text of a file below the folder; none if the variable is unset. A file that is missing there throws, which fails
// the test.
inline std::optional<std::string> check_file(const std::string& name) {
    const char* folder = std::getenv("LADDERLINE_CHECK_DATA");
    if (folder == nullptr || *folder == 0) return {};
    std::ifstream in(std::string(folder) + "/" + name, std::ios::binary);
    if (!in) throw std::runtime_error("cannot read " + name + " below LADDERLINE_CHECK_DATA");
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

// The rows of a table of comma-separated values without quotes, its head line left out.
inline std::vector<std::vector<std::string>> rows_of(const std::string& text) {
    std::vector<std::vector<std::string>> out;
    std::istringstream lines(text);
    std::string line;
    std::getline(lines, line);
    while (std::getline(lines, line)) {
        if (!line.empty() && line.back() == '\r') line.pop_back();
        std::vector<std::string> row;
        std::istringstream cells(line);
        for (std::string cell; std::getline(cells, cell, ',');) row.push_back(cell);
        out.push_back(row);
    }
    return out;
}

// True if `value`, rounded to the digits of a printed number, is that number: `places` digits behind the point.
inline bool rounds_to(double value, double printed, int places) {
    return std::fabs(value - printed) <= 0.500001 * std::pow(10.0, -places);
}

}  // namespace ladderline::test
