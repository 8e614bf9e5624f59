#pragma once
// A value written with as many digits as the printed one, so that a check compares every digit that was printed.

#include <array>
#include <cstdio>
#include <string>
#include <string_view>

namespace ladderline::study_test {

// printed("0.6263", x): x with four decimals. printed("8.47e-22", x): x with two decimals and an exponent.
inline std::string printed(std::string_view like, double value) {
    const std::size_t exponent = like.find('e');
    const std::string_view digits = like.substr(0, exponent);
    const std::size_t point = digits.find('.');
    const int decimals = point == std::string_view::npos ? 0 : static_cast<int>(digits.size() - point - 1);
    std::array<char, 64> out{};
    std::snprintf(out.data(), out.size(), exponent == std::string_view::npos ? "%.*f" : "%.*e", decimals, value);
    return out.data();
}

}  // namespace ladderline::study_test

// Every digit of the literal must be that of the value.
#define CHECK_PRINTED(value, like) CHECK(::ladderline::study_test::printed(like, value) == like)
