#include "protocol/circle/bits.hpp"

#include <algorithm>

namespace ladderline::protocol {

// True if one page in memory, or none, is that page of both.
bool Bits::shares(std::size_t p, const Bits& other) const {
    return &page(p) == &other.page(p);
}

Bits::Page& Bits::own_page(std::size_t p) {
    if (pages_.size() <= p) pages_.resize(p + 1);
    std::shared_ptr<Page>& mine = pages_[p];
    if (!mine) {
        mine = std::make_shared<Page>();
    } else if (mine.use_count() > 1) {
        mine = std::make_shared<Page>(*mine);
    }
    return *mine;
}

void Bits::set(std::size_t i) {
    if (!has(i)) own_page(i / page_bits)[i % page_bits / 64] |= std::uint64_t{1} << (i % 64);
}

void Bits::reset(std::size_t i) {
    if (has(i)) own_page(i / page_bits)[i % page_bits / 64] &= ~(std::uint64_t{1} << (i % 64));
}

bool Bits::is_empty() const {
    return std::all_of(pages_.begin(), pages_.end(), [](const auto& p) { return !p || *p == no_page; });
}

std::size_t Bits::count() const {
    std::size_t sum = 0;
    for (std::size_t p = 0; p < pages_.size(); ++p) {
        for (const std::uint64_t word : page(p)) sum += static_cast<std::size_t>(std::popcount(word));
    }
    return sum;
}

bool Bits::covers(const Bits& other) const {
    for (std::size_t p = 0; p < other.pages_.size(); ++p) {
        if (shares(p, other)) continue;
        const Page& here = page(p);
        const Page& there = other.page(p);
        for (std::size_t w = 0; w < here.size(); ++w) {
            if ((there[w] & ~here[w]) != 0) return false;
        }
    }
    return true;
}

std::optional<std::size_t> Bits::first_common(const Bits& other) const {
    for (std::size_t p = 0; p < std::min(pages_.size(), other.pages_.size()); ++p) {
        for (std::size_t w = 0; w < page(p).size(); ++w) {
            const std::uint64_t both = page(p)[w] & other.page(p)[w];
            if (both != 0) return p * page_bits + w * 64 + static_cast<std::size_t>(std::countr_zero(both));
        }
    }
    return std::nullopt;
}

Bits& Bits::operator|=(const Bits& other) {
    if (pages_.size() < other.pages_.size()) pages_.resize(other.pages_.size());
    for (std::size_t p = 0; p < other.pages_.size(); ++p) {
        if (!other.pages_[p] || shares(p, other)) continue;
        Page either = page(p);
        for (std::size_t w = 0; w < either.size(); ++w) either[w] |= other.page(p)[w];
        if (either == other.page(p)) {
            pages_[p] = other.pages_[p];
        } else if (either != page(p)) {
            own_page(p) = either;
        }
    }
    return *this;
}

template <class Combine>
Bits Bits::combined(const Bits& a, const Bits& b, Combine combine) {
    Bits out;
    out.pages_.resize(a.pages_.size());
    for (std::size_t p = 0; p < a.pages_.size(); ++p) {
        Page left = a.page(p);
        for (std::size_t w = 0; w < left.size(); ++w) left[w] = combine(left[w], b.page(p)[w]);
        if (left == a.page(p)) {
            out.pages_[p] = a.pages_[p];
        } else if (left != no_page) {
            out.pages_[p] = std::make_shared<Page>(left);
        }
    }
    return out;
}

Bits operator&(const Bits& a, const Bits& b) {
    return Bits::combined(a, b, [](std::uint64_t x, std::uint64_t y) { return x & y; });
}

Bits operator-(const Bits& a, const Bits& b) {
    return Bits::combined(a, b, [](std::uint64_t x, std::uint64_t y) { return x & ~y; });
}

}  // namespace ladderline::protocol
