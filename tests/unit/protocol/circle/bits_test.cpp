#include "protocol/circle/bits.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <iterator>
#include <set>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

using Set = std::set<std::size_t>;  // the standard library's is the other opinion

constexpr std::size_t beyond = 5'000;  // some pages

Bits bits_of(const Set& set) {
    Bits out;
    for (const std::size_t i : set) out.set(i);
    return out;
}

Set set_of(const Bits& bits) {
    Set out;
    bits.for_each([&](std::size_t i) { out.insert(i); });
    return out;
}

// Close together or far apart, and now and then a run.
Set some(test::SeededRandom& random) {
    Set out;
    const std::size_t begin = random.next() % beyond;
    const std::size_t width = 1 + random.next() % (beyond - begin);
    for (std::size_t n = random.next() % 40; n > 0; --n) out.insert(begin + random.next() % width);
    if (random.next() % 3 != 0) return out;
    for (std::size_t i = 0; i < 1'500; ++i) out.insert(begin + i);
    return out;
}

template <class Algorithm>
Set combined(const Set& a, const Set& b, Algorithm algorithm) {
    Set out;
    algorithm(a.begin(), a.end(), b.begin(), b.end(), std::inserter(out, out.end()));
    return out;
}

}  // namespace

TEST_CASE("Sets of positions do what sets do") {
    test::SeededRandom random(11);
    for (int round = 0; round < 300; ++round) {
        const Set a = some(random);
        const Set b = random.next() % 4 == 0 ? a : some(random);
        const Bits x = bits_of(a);
        const Bits y = bits_of(b);
        CAPTURE(round);
        REQUIRE(set_of(x) == a);
        REQUIRE(x.count() == a.size());
        REQUIRE(x.is_empty() == a.empty());
        REQUIRE(x.first() == (a.empty() ? std::nullopt : std::optional(*a.begin())));
        REQUIRE((x == y) == (a == b));
        REQUIRE(x.covers(y) == std::includes(a.begin(), a.end(), b.begin(), b.end()));
        const Set both = combined(a, b, [](auto... range) { std::set_intersection(range...); });
        REQUIRE(set_of(x & y) == both);
        REQUIRE(x.first_common(y) == (both.empty() ? std::nullopt : std::optional(*both.begin())));
        REQUIRE(set_of(x - y) == combined(a, b, [](auto... range) { std::set_difference(range...); }));
        Bits either = x;
        either |= y;
        REQUIRE(set_of(either) == combined(a, b, [](auto... range) { std::set_union(range...); }));
    }
}

TEST_CASE("A change in one set of positions is none in its copies") {
    Bits a;
    for (std::size_t i = 0; i < 3'000; i += 7) a.set(i);
    const Set before = set_of(a);
    Bits copy = a;
    copy.set(1);
    copy.reset(7);
    Bits joined;
    joined |= a;
    joined.set(2'999);
    Bits part = a & copy;
    part.set(2);
    CHECK(set_of(a) == before);
    CHECK(copy.has(1));
    CHECK_FALSE(copy.has(7));
}

TEST_CASE("A set of positions has nothing beyond its last page") {
    Bits a;
    a.set(3);
    CHECK_FALSE(a.has(1'000'000));
    a.reset(1'000'000);
    CHECK(a == bits_of({3}));
    Bits wide = a;
    wide.set(4'000);
    wide.reset(4'000);
    CHECK(wide == a);
}
