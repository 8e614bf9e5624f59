#include "tests/scale/tally.hpp"

#include <algorithm>
#include <bit>

namespace ladderline::scale {

std::size_t Tally::class_of(std::uint64_t value) {
    if (value < classes_a_doubling) return static_cast<std::size_t>(value);
    const auto width = static_cast<std::size_t>(std::bit_width(value));  // 6 at least
    const auto below = static_cast<std::size_t>(value >> (width - 6)) - classes_a_doubling;
    return (width - 5) * classes_a_doubling + below;
}

std::uint64_t Tally::edge_of(std::size_t number) {
    if (number < classes_a_doubling) return number;
    const std::size_t width = number / classes_a_doubling + 5;
    const std::uint64_t first = number % classes_a_doubling + classes_a_doubling;
    return ((first + 1) << (width - 6)) - 1;
}

void Tally::add(std::uint64_t value, std::uint64_t times) {
    if (times == 0) return;
    classes_[class_of(value)] += times;
    count_ += times;
    worst_ = std::max(worst_, value);
    sum_ += static_cast<double>(value) * static_cast<double>(times);
}

void Tally::add(const Tally& other) {
    for (std::size_t i = 0; i < classes_.size(); ++i) classes_[i] += other.classes_[i];
    count_ += other.count_;
    worst_ = std::max(worst_, other.worst_);
    sum_ += other.sum_;
}

std::uint64_t Tally::percent(double share) const {
    const double wanted = share / 100 * static_cast<double>(count_);
    std::uint64_t seen = 0;
    for (std::size_t i = 0; i < classes_.size(); ++i) {
        seen += classes_[i];
        if (seen > 0 && static_cast<double>(seen) >= wanted) return std::min(edge_of(i), worst_);
    }
    return worst_;
}

}  // namespace ladderline::scale
