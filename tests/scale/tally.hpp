#pragma once
// Counts of many values: their mean exactly, their shares to within three parts in a hundred, in a few kilobytes.

#include <array>
#include <cstdint>

namespace ladderline::scale {

class Tally {
public:
    void add(std::uint64_t value, std::uint64_t times = 1);
    void add(const Tally& other);

    std::uint64_t count() const { return count_; }
    double sum() const { return sum_; }
    double mean() const { return count_ == 0 ? 0 : sum_ / static_cast<double>(count_); }
    std::uint64_t worst() const { return worst_; }
    // The value that so many of a hundred do not exceed; the upper edge of its class, never above the worst. 0 if
    // empty.
    std::uint64_t percent(double share) const;

private:
    static constexpr std::size_t classes_a_doubling = 32;
    static std::size_t class_of(std::uint64_t value);
    static std::uint64_t edge_of(std::size_t number);

    std::array<std::uint64_t, 64 * classes_a_doubling> classes_{};
    std::uint64_t count_ = 0;
    std::uint64_t worst_ = 0;
    double sum_ = 0;
};

}  // namespace ladderline::scale
