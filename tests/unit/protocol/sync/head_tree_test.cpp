// The tree over the logs of a circle: what it covers, and what a third party cannot prepare.

#include "protocol/sync/head_tree.hpp"

#include <doctest/doctest.h>

#include <set>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

std::vector<LogHead> some_heads(test::SeededRandom& random, std::size_t count) {
    std::vector<LogHead> out;
    for (std::size_t i = 0; i < count; ++i) {
        out.push_back({random.draw<LogId>(), random.next() % 1000 + 1, random.draw<EventId>()});
    }
    return out;
}

}  // namespace

TEST_CASE("the 32 children of a node hold its logs, each once") {
    test::SeededRandom random(1);
    const HeadTree tree(random.draw<TreeKey>(), some_heads(random, 5000));
    for (const NodePath parent : {HeadTree::root, NodePath{32}, NodePath{63}, NodePath{32 << 5 | 7}}) {
        std::size_t sum = 0;
        for (std::size_t i = 0; i < HeadTree::fanout; ++i) sum += tree.under(HeadTree::child(parent, i)).size();
        CHECK(sum == tree.under(parent).size());
    }
    CHECK(tree.under(HeadTree::root).size() == 5000);
    CHECK_FALSE(tree.under(NodePath{40}).empty());
}

TEST_CASE("only numbers that name a node are paths") {
    for (const NodePath path : {1U, 32U, 63U, 1024U, 2047U, 1U << 20, (1U << 21) - 1}) CHECK(HeadTree::is_path(path));
    for (const NodePath path : {0U, 2U, 31U, 64U, 1023U, 2048U, 1U << 21, 1U << 25, 0xFFFFFFFFU}) {
        CHECK_FALSE(HeadTree::is_path(path));
    }
}

TEST_CASE("every part of a head changes the digests above it and no others") {
    test::SeededRandom random(2);
    const auto key = random.draw<TreeKey>();
    const auto heads = some_heads(random, 2000);
    const HeadTree before(key, heads);
    for (int what = 0; what < 3; ++what) {
        auto changed = heads;
        LogHead& head = changed[1234];
        if (what == 0) head.next_seq += 1;
        if (what == 1) head.head.data[31] ^= 1;
        if (what == 2) head.fork = head.next_seq;
        const HeadTree after(key, changed);
        CHECK(before.digest(HeadTree::root) != after.digest(HeadTree::root));
        std::size_t differ = 0;
        for (std::size_t i = 0; i < HeadTree::fanout; ++i) {
            const NodePath child = HeadTree::child(HeadTree::root, i);
            if (before.digest(child) != after.digest(child)) ++differ;
        }
        CHECK(differ == 1);
    }
}

TEST_CASE("an empty node's digest is zeros, and a log moves with the key") {
    test::SeededRandom random(3);
    const auto heads = some_heads(random, 40);
    const HeadTree one(random.draw<TreeKey>(), heads);
    const HeadTree two(random.draw<TreeKey>(), heads);
    CHECK(HeadTree(random.draw<TreeKey>(), {}).digest(HeadTree::root).is_zero());
    CHECK(one.digest(HeadTree::root) != two.digest(HeadTree::root));
    std::set<LogTag> tags;
    for (const LogHead& head : heads) {
        tags.insert(one.tag_of(head.log));
        tags.insert(two.tag_of(head.log));
        REQUIRE(one.find(one.tag_of(head.log)) != nullptr);
        CHECK(one.find(one.tag_of(head.log))->head == head);
    }
    CHECK(tags.size() == 80);
    CHECK(one.find(two.tag_of(heads[0].log)) == nullptr);
}

TEST_CASE("heads may come in any order") {
    test::SeededRandom random(4);
    const auto key = random.draw<TreeKey>();
    auto heads = some_heads(random, 300);
    const HeadTree one(key, heads);
    std::reverse(heads.begin(), heads.end());
    CHECK(one.digest(HeadTree::root) == HeadTree(key, heads).digest(HeadTree::root));
}
