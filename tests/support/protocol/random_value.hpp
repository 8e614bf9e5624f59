#pragma once
// Random values of anything that has a `serialize`: an archive that fills instead of reading. Every value is one that
// an honest program could write: known choices, well-formed texts, lists within their bounds.

#include <algorithm>
#include <string>

#include "protocol/codec/archive.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {

class Filler {
public:
    explicit Filler(SeededRandom& random) : random_(random) {}

    template <class... T>
    void operator()(T&&... values) {
        (fill(values), ...);
    }

private:
    static constexpr std::size_t list_max = 5;

    std::size_t below(std::size_t bound) { return static_cast<std::size_t>(random_.next() % bound); }

    void fill(bool& v) { v = below(2) == 1; }
    template <class T>
    requires std::is_integral_v<T>
    void fill(T& v) {
        v = static_cast<T>(random_.next() >> below(64));  // numbers of every size
    }
    template <class T>
    requires std::is_enum_v<T>
    void fill(T& v) {
        do {
            v = static_cast<T>(below(256));
        } while (!is_known(v));
    }
    void fill(WallTime& v) { v.ms = static_cast<std::int64_t>(random_.next() % (4ULL << 40)) - (1LL << 40); }
    void fill(Day& v) { v.number = static_cast<std::int32_t>(below(3'600'000)) - 700'000; }
    void fill(std::string& v) { fill_text(v, 40); }
    void fill(Bytes& v) { fill_bytes(v, 60); }
    template <class Tag, std::size_t N>
    void fill(FixedBytes<Tag, N>& v) {
        random_.fill(v.mutable_view());
    }
    template <class T>
    void fill(std::optional<T>& v) {
        v.reset();
        if (below(2) == 1) fill(v.emplace());
    }
    template <class T>
    void fill(std::vector<T>& v) {
        v.resize(below(list_max + 1));
        for (T& element : v) fill(element);
    }
    template <std::size_t Max, class T>
    void fill(protocol::codec::Bounded<Max, T>& v) {
        if constexpr (std::is_same_v<T, std::string>) {
            fill_text(v.value, Max);
        } else if constexpr (std::is_same_v<T, Bytes>) {
            fill_bytes(v.value, Max);
        } else {
            v.value.resize(below(std::min(list_max, Max) + 1));
            for (auto& element : v.value) fill(element);
        }
    }
    template <class T>
    requires requires(T& v, Filler& f) { v.serialize(f); }
    void fill(T& v) { v.serialize(*this); }

    void fill_text(std::string& v, std::size_t bytes_max) {
        static constexpr std::string_view pieces[] = {"a", "K", "9", " ", "\u00e9", "\u2192", "\U0001F4FB", "\n"};
        v.clear();
        for (std::size_t i = below(20); i > 0; --i) {
            const std::string_view piece = pieces[below(std::size(pieces))];
            if (v.size() + piece.size() <= bytes_max) v += piece;
        }
    }
    void fill_bytes(Bytes& v, std::size_t bytes_max) {
        v.resize(below(std::min<std::size_t>(bytes_max, 60) + 1));
        random_.fill(v);
    }

    SeededRandom& random_;
};

template <class T>
T random_value(SeededRandom& random) {
    T value{};
    Filler filler(random);
    value.serialize(filler);
    return value;
}

}  // namespace ladderline::test
