#include "node/domain/study/problem_values.hpp"

#include <algorithm>
#include <array>
#include <cstdio>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

// Power of ten of the first digit once the value is rounded to three of them.
int leading_power(double value) {
    std::array<char, 32> text{};
    std::snprintf(text.data(), text.size(), "%.2e", value);
    int power = 0;
    ENSURE(std::sscanf(text.data(), "%*[0-9.]e%d", &power) == 1);
    return power;
}

}  // namespace

double in_series(std::span<const double> ohms) {
    double sum = 0;
    for (const double one : ohms) sum += one;
    return sum;
}

double in_parallel(std::span<const double> ohms) {
    double sum = 0;
    for (const double one : ohms) sum += 1 / one;
    return 1 / sum;
}

std::string three_digits(double value) {
    ENSURE(value >= 1e-9 && value <= 1e9);
    const int power = leading_power(value);
    const int decimals = std::max(0, 2 - power);
    const double unit = std::pow(10.0, std::max(0, power - 2));
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), "%.*f", decimals,
                  std::round(value / unit * std::pow(10.0, decimals)) * unit / std::pow(10.0, decimals));
    std::string out(text.data());
    if (out.find('.') == std::string::npos) return out;
    while (out.back() == '0') out.pop_back();
    if (out.back() == '.') out.pop_back();
    return out;
}

std::string with_prefix(double value, std::string_view unit) {
    constexpr std::array<const char*, 8> prefixes{"p", "n", "µ", "m", "", "k", "M", "G"};
    const int power = leading_power(value);
    const int step = std::clamp((power >= 0 ? power : power - 2) / 3, -4, 3);
    return three_digits(value / std::pow(10.0, 3 * step)) + " " + prefixes[static_cast<std::size_t>(step + 4)] +
           std::string(unit);
}

}  // namespace ladderline::domain
