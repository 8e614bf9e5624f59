#pragma once
// A set of positions, made for sets that are nearly the same. Part of the fold (fold.cpp).

#include <array>
#include <bit>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

namespace ladderline::protocol {

// Copies share pages until one of them changes. What an event knows is mostly what the one before it knew, and that
// one: kept whole for each of 100,000 events it would be 600 MB.
class Bits {
public:
    bool has(std::size_t i) const { return (page(i / page_bits)[i % page_bits / 64] >> (i % 64) & 1) != 0; }
    void set(std::size_t i);
    void reset(std::size_t i);
    bool is_empty() const;
    std::size_t count() const;
    // Everything in `other` is in here too.
    bool covers(const Bits& other) const;
    std::optional<std::size_t> first() const { return first_common(*this); }
    std::optional<std::size_t> first_common(const Bits& other) const;
    Bits& operator|=(const Bits& other);
    friend Bits operator&(const Bits& a, const Bits& b);
    friend Bits operator-(const Bits& a, const Bits& b);  // what is in `a` and not in `b`
    bool operator==(const Bits& other) const { return covers(other) && other.covers(*this); }

    // From the smallest to the largest; what is added or taken away meanwhile may be met or not.
    template <class Visit>
    void for_each(const Visit& visit) const {
        for (std::size_t p = 0; p < pages_.size(); ++p) {
            for (std::size_t w = 0; w < page(p).size(); ++w) {
                for (std::uint64_t left = page(p)[w]; left != 0; left &= left - 1) {
                    visit(p * page_bits + w * 64 + static_cast<std::size_t>(std::countr_zero(left)));
                }
            }
        }
    }

private:
    using Page = std::array<std::uint64_t, 16>;
    static constexpr std::size_t page_bits = 64 * std::tuple_size_v<Page>;
    static constexpr Page no_page{};

    const Page& page(std::size_t p) const { return p < pages_.size() && pages_[p] ? *pages_[p] : no_page; }
    bool shares(std::size_t p, const Bits& other) const;
    Page& own_page(std::size_t p);
    template <class Combine>
    static Bits combined(const Bits& a, const Bits& b, Combine combine);

    std::vector<std::shared_ptr<Page>> pages_;  // none: nothing in it
};

}  // namespace ladderline::protocol
