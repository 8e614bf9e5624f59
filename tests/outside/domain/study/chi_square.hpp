#pragma once
// Pearson's chi-square, for tests of fairness.

#include <cstddef>
#include <vector>

namespace ladderline::study_test {

// Against equal cells.
inline double chi_square_equal(const std::vector<int>& counts) {
    double total = 0;
    for (const int count : counts) total += count;
    const double expected = total / static_cast<double>(counts.size());
    double sum = 0;
    for (const int count : counts) sum += (count - expected) * (count - expected) / expected;
    return sum;
}

// Rows against columns; degrees of freedom (rows - 1)(columns - 1).
inline double chi_square_table(const std::vector<std::vector<int>>& table) {
    std::vector<double> columns(table.front().size(), 0.0);
    double total = 0;
    for (const auto& row : table) {
        for (std::size_t c = 0; c < row.size(); ++c) {
            columns[c] += row[c];
            total += row[c];
        }
    }
    double sum = 0;
    for (const auto& row : table) {
        double row_total = 0;
        for (const int count : row) row_total += count;
        for (std::size_t c = 0; c < row.size(); ++c) {
            const double expected = row_total * columns[c] / total;
            sum += (row[c] - expected) * (row[c] - expected) / expected;
        }
    }
    return sum;
}

}  // namespace ladderline::study_test
