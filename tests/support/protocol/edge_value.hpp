#pragma once
// Values of anything that has a `serialize`, as a member's own program could make them to do harm: every bound that the
// decoder allows is reached, and people, events and words that others know stand among them. All of them decode.

#include <algorithm>
#include <limits>
#include <string>
#include <vector>

#include "protocol/codec/archive.hpp"
#include "protocol/event/ids.hpp"
#include "protocol/limits.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {

// What values are about: with none of these nobody would look at them.
struct Subjects {
    std::vector<protocol::MemberId> members;
    std::vector<protocol::EventId> events;
    std::vector<protocol::DeviceId> devices;
    std::vector<protocol::LogId> logs;
    std::vector<std::string> words;
};

class EdgeFiller {
public:
    EdgeFiller(SeededRandom& random, const Subjects& subjects) : random_(random), subjects_(subjects) {}

    template <class... T>
    void operator()(T&&... values) {
        (fill(values), ...);
    }

private:
    std::size_t below(std::size_t bound) { return static_cast<std::size_t>(random_.next() % bound); }
    bool chance(unsigned percent) { return below(100) < percent; }
    template <class T>
    T one_of(T least, T most, T between) {
        const std::size_t side = below(4);
        return side == 0 ? least : side == 1 ? most : between;
    }

    void fill(bool& v) { v = chance(50); }
    template <class T>
    requires std::is_integral_v<T>
    void fill(T& v) {
        using Limits = std::numeric_limits<T>;
        v = one_of<T>(Limits::min(), Limits::max(), static_cast<T>(random_.next() >> below(64)));
    }
    template <class T>
    requires std::is_enum_v<T>
    void fill(T& v) {
        do {
            v = static_cast<T>(below(256));
        } while (!is_known(v));
    }
    static constexpr std::int32_t first_day = -719'162;  // 0001-01-01
    static constexpr std::int32_t last_day = 2'932'896;  // 9999-12-31
    void fill(Day& v) {
        const auto near = static_cast<std::int32_t>(20'000 + below(2'000));
        v.number = one_of(first_day, last_day, near);
    }
    void fill(WallTime& v) {
        const std::int64_t near = 1'790'000'000'000 + (static_cast<std::int64_t>(below(1'000)) - 500) * 3'600'000;
        v.ms = one_of(start_of(Day{first_day}).ms, start_of(Day{last_day + 1}).ms - 1, near);
    }
    template <class Tag, std::size_t N>
    void fill(FixedBytes<Tag, N>& v) {
        random_.fill(v.mutable_view());
    }
    void fill(protocol::MemberId& v) { pick(v, subjects_.members); }
    void fill(protocol::EventId& v) { pick(v, subjects_.events); }
    void fill(protocol::DeviceId& v) { pick(v, subjects_.devices); }
    void fill(protocol::LogId& v) { pick(v, subjects_.logs); }
    template <class Id>
    void pick(Id& v, const std::vector<Id>& known) {
        random_.fill(v.mutable_view());
        if (!known.empty() && chance(90)) v = known[below(known.size())];
    }
    void fill(std::string& v) { fill_text(v, 60); }
    void fill(Bytes& v) { fill_bytes(v, 60); }
    template <class T>
    void fill(std::optional<T>& v) {
        v.reset();
        if (chance(70)) fill(v.emplace());
    }
    template <class T>
    void fill(std::vector<T>& v) {
        fill_list(v, 5);
    }
    template <std::size_t Max, class T>
    void fill(protocol::codec::Bounded<Max, T>& v) {
        if constexpr (std::is_same_v<T, std::string>) {
            fill_text(v.value, Max);
        } else if constexpr (std::is_same_v<T, Bytes>) {
            fill_bytes(v.value, Max);
        } else {
            fill_list(v.value, Max);
        }
    }
    template <class T>
    requires requires(T& v, EdgeFiller& f) { v.serialize(f); }
    void fill(T& v) { v.serialize(*this); }

    template <class T>
    void fill_list(std::vector<T>& v, std::size_t most) {
        v.clear();
        v.resize(one_of<std::size_t>(0, most, 1 + below(3)) % (most + 1));
        for (T& element : v) fill(element);
    }
    void fill_text(std::string& v, std::size_t bytes_max) {
        static constexpr std::string_view pieces[] = {"a", "9", " ", "\u00e9", "\u2192", "\U0001F4FB", "\n", "<", "\""};
        v.clear();
        if (!subjects_.words.empty() && chance(60)) {
            v = subjects_.words[below(subjects_.words.size())];
            if (v.size() > bytes_max) v.clear();
            return;
        }
        for (std::size_t left = one_of<std::size_t>(0, bytes_max, below(20)); v.size() < left;) {
            const std::string_view piece = pieces[below(std::size(pieces))];
            if (v.size() + piece.size() > bytes_max) return;
            v += piece;
        }
    }
    void fill_bytes(Bytes& v, std::size_t bytes_max) {
        v.resize(one_of<std::size_t>(0, bytes_max, below(bytes_max + 1)));
        random_.fill(v);
    }

    SeededRandom& random_;
    const Subjects& subjects_;
};

template <class T>
T edge_value(SeededRandom& random, const Subjects& subjects) {
    T value{};
    EdgeFiller filler(random, subjects);
    value.serialize(filler);
    return value;
}

}  // namespace ladderline::test
