#pragma once
// Changes one field of anything that has a `serialize`, so that the whole still encodes.

#include "tests/fuzz/engine/mutator.hpp"
#include "tests/support/protocol/random_value.hpp"

namespace ladderline::fuzz {

class Tweaker {
public:
    // The field number `target` of those met, from 0.
    Tweaker(test::SeededRandom& random, std::size_t target) : random_(random), target_(target) {}

    template <class... T>
    void operator()(T&&... values) {
        (visit(values), ...);
    }
    std::size_t fields() const { return met_; }

private:
    template <class T>
    void visit(T& v) {
        if constexpr (requires(Tweaker & t) { v.serialize(t); }) {
            v.serialize(*this);
        } else if constexpr (std::is_integral_v<T> && !std::is_same_v<T, bool>) {
            if (met_++ == target_) change_number(v);
        } else if (met_++ == target_) {
            test::Filler filler(random_);
            filler(v);
        }
    }
    template <class Tag, std::size_t N>
    void visit(FixedBytes<Tag, N>& v) {
        if (met_++ == target_) v.data[below(random_, N)] ^= static_cast<std::uint8_t>(1 + random_.next() % 255);
    }
    template <class T>
    void visit(std::optional<T>& v) {
        if (met_++ == target_) {
            test::Filler filler(random_);
            filler(v);
        }
        if (v) visit(*v);
    }
    template <std::size_t Max, class T>
    void visit(protocol::codec::Bounded<Max, T>& v) {
        visit_list<Max>(v.value);
    }
    template <std::size_t Max, class T>
    void visit(protocol::codec::Bounded<Max, T>&& v) {
        visit_list<Max>(v.value);
    }
    template <class T>
    requires(!std::is_same_v<T, std::uint8_t>) void visit(std::vector<T>& v) { visit_list<SIZE_MAX>(v); }

    template <std::size_t Max, class List>
    void visit_list(List& v) {
        constexpr bool is_plain = std::is_same_v<List, std::string> || std::is_same_v<List, Bytes>;
        if (met_++ == target_) change_list<Max>(v);
        if constexpr (!is_plain) {
            for (auto& element : v) visit(element);
        }
    }
    template <std::size_t Max, class List>
    void change_list(List& v) {
        if (v.empty() || below(random_, 4) == 0) {
            test::Filler filler(random_);
            filler(protocol::codec::bounded<std::min<std::size_t>(Max, 64)>(v));
        } else if (const std::size_t at = below(random_, v.size()); v.size() < Max && below(random_, 2) == 0) {
            const auto again = v[at];
            v.push_back(again);
        } else {
            v.erase(v.begin() + static_cast<std::ptrdiff_t>(at));
        }
    }
    template <class T>
    void change_number(T& v) {
        const std::size_t how = below(random_, 4);
        if (how == 0) v = static_cast<T>(v + 1);
        if (how == 1) v = static_cast<T>(v - 1);
        if (how == 2) v = static_cast<T>(random_.next() >> below(random_, 64));
        if (how == 3) v = static_cast<T>(T{1} << below(random_, 8 * sizeof(T) - 1));
    }

    test::SeededRandom& random_;
    std::size_t target_;
    std::size_t met_ = 0;
};

template <class T>
void tweak(T& value, test::SeededRandom& random) {
    Tweaker count(random, SIZE_MAX);
    count(value);
    if (count.fields() == 0) return;
    Tweaker change(random, below(random, count.fields()));
    change(value);
}

}  // namespace ladderline::fuzz
