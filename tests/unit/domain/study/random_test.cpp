#include "node/domain/study/random.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <vector>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

// Counts up from 1.
class CountingRandom : public Random {
public:
    void fill(MutableByteView out) override {
        for (std::uint8_t& byte : out) byte = ++last_;
    }

private:
    std::uint8_t last_ = 0;
};

}  // namespace

TEST_CASE("a bounded draw stays below its bound and reaches every value") {
    SplitMix64 generator(1);
    std::set<std::uint64_t> seen;
    for (int n = 0; n < 300; ++n) seen.insert(bounded(generator, 7));
    CHECK(seen == std::set<std::uint64_t>{0, 1, 2, 3, 4, 5, 6});
    CHECK(bounded(generator, 1) == 0);
}

TEST_CASE("a bound beyond half of all numbers is kept") {
    SplitMix64 generator(1);
    const std::uint64_t bound = (std::uint64_t{1} << 63) + 5;
    for (int n = 0; n < 200; ++n) CHECK(bounded(generator, bound) < bound);
}

TEST_CASE("a shuffle keeps every item, and takes lists of none and one") {
    SplitMix64 generator(1);
    std::vector<int> items = {1, 2, 3, 4, 5, 6, 7, 8};
    shuffle(generator, std::span(items));
    CHECK_FALSE(std::is_sorted(items.begin(), items.end()));
    std::sort(items.begin(), items.end());
    CHECK(items == std::vector<int>{1, 2, 3, 4, 5, 6, 7, 8});
    std::vector<int> none;
    std::vector<int> one = {7};
    shuffle(generator, std::span(none));
    shuffle(generator, std::span(one));
    CHECK(one == std::vector<int>{7});
}

TEST_CASE("a seed takes eight bytes of the given randomness") {
    CountingRandom random;
    SplitMix64 expected(0x0102030405060708U);
    SplitMix64 drawn = seeded_from(random);
    CHECK(drawn.next() == expected.next());
}
