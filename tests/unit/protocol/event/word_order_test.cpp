// Who spoke last, if clocks are wrong.

#include "protocol/event/word_order.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

EventId id_of(char name) {
    EventId out;
    out.data.fill(static_cast<std::uint8_t>(name));
    return out;
}

PlacedWord word(char name, std::int64_t log, std::int64_t seq, std::int64_t wall, std::string_view seen = "") {
    PlacedWord out{log, seq, {WallTime{wall}, 0}, id_of(name)};
    for (const char one : seen) out.seen.push_back(id_of(one));
    return out;
}

std::string names_in_order(const std::vector<PlacedWord>& words) {
    std::string out;
    for (const std::size_t at : order_of(words)) out += static_cast<char>(words[at].id.data[0]);
    return out;
}

}  // namespace

TEST_CASE("words are in the order of their times, then their ids") {
    CHECK(names_in_order({word('c', 1, 7, 30), word('a', 1, 4, 10), word('b', 2, 0, 20)}) == "abc");
    CHECK(names_in_order({word('b', 1, 0, 10), word('a', 2, 0, 10)}) == "ab");
    CHECK(names_in_order({}) == "");
}

TEST_CASE("a later word of a log stands behind an earlier one, whatever their times say") {
    CHECK(names_in_order({word('a', 1, 3, 9'000), word('b', 1, 5, 20)}) == "ab");
}

TEST_CASE("a word after a wrong clock was put right takes the weight of all before it in its log") {
    CHECK(names_in_order({word('a', 1, 1, 8'000), word('b', 1, 2, 9'000), word('c', 1, 3, 20), word('d', 2, 0, 10),
                          word('e', 2, 1, 30)}) == "dabce");
}

TEST_CASE("a word stands behind those that it had seen, in whichever log") {
    CHECK(names_in_order({word('a', 1, 0, 9'000), word('b', 2, 0, 20, "a"), word('c', 3, 0, 30)}) == "abc");
    CHECK(names_in_order({word('a', 1, 0, 9'000), word('b', 1, 1, 9'500), word('c', 2, 0, 20, "b")}) == "abc");
}

TEST_CASE("what a word says it had seen and is not here changes nothing") {
    CHECK(names_in_order({word('a', 1, 0, 10), word('b', 2, 0, 20, "xb")}) == "ab");
}

TEST_CASE("the order is the same however the words came, and none is lost") {
    std::vector<PlacedWord> words;
    for (int i = 0; i < 7; ++i) {
        const char seen = static_cast<char>('a' + (i > 2 ? i - 3 : 0));
        words.push_back(
            word(static_cast<char>('a' + i), i % 3, i, (i * 5) % 7 * 100, i > 2 ? std::string(1, seen) : ""));
    }
    std::sort(words.begin(), words.end(), [](const PlacedWord& a, const PlacedWord& b) { return a.id < b.id; });
    const std::string first = names_in_order(words);
    CHECK(first.size() == words.size());
    std::size_t others = 0;
    const auto by_id = [](const PlacedWord& a, const PlacedWord& b) { return a.id < b.id; };
    while (std::next_permutation(words.begin(), words.end(), by_id)) others += names_in_order(words) == first ? 0 : 1;
    CHECK(others == 0);
}
