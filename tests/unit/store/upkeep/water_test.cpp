#include "store/upkeep/water.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/seeded_random.hpp"
#include "tests/support/store/memory_disk.hpp"

using namespace ladderline;
using namespace ladderline::store;

namespace {

struct Box {
    test::MemoryDisk disk;
    test::SeededRandom random{81};
    protocol::AeadKey key = protocol::AeadKey::random(random);
    InstanceId instance = random.draw<InstanceId>();

    Water water() { return Water(disk, "/s", key); }
    HighWater level(std::uint64_t arrivals) {
        return {instance, arrivals, arrivals / 2, random.draw<OwnHeads>(), random.draw<protocol::EventId>()};
    }
    Bytes& file() { return disk.files["/s/water"]; }
};

}  // namespace

TEST_CASE("without a file there is no high-water record") {
    Box box;
    CHECK_FALSE(box.water().load().value().has_value());
}

TEST_CASE("the last of many high-water records is read back") {
    Box box;
    HighWater last;
    Water water = box.water();
    REQUIRE(water.load());
    for (std::uint64_t i = 1; i <= 5; ++i) {
        last = box.level(i);
        REQUIRE(water.save(last, i % 2 == 0));
        CHECK(box.water().load().value() == last);
    }
    CHECK(box.file().size() == 1024);
}

TEST_CASE("a high-water slot that is torn or lost leaves the one before") {
    Box box;
    Water water = box.water();
    REQUIRE(water.load());
    const HighWater older = box.level(7);
    const HighWater newer = box.level(8);
    REQUIRE(water.save(older, true));
    REQUIRE(water.save(newer, true));
    const Bytes whole = box.file();
    for (std::size_t at = 0; at < 512; ++at) {
        box.file() = whole;
        box.file()[at] ^= 1;  // the second write went to the first slot
        CHECK(box.water().load().value() == older);
    }
    box.file() = whole;
    std::fill_n(box.file().begin() + 512, 512, std::uint8_t{0});
    CHECK(box.water().load().value() == newer);
    box.file().resize(512);
    CHECK(box.water().load().value() == newer);
}

TEST_CASE("after a torn slot the next high-water record goes into that slot") {
    Box box;
    Water water = box.water();
    REQUIRE(water.load());
    REQUIRE(water.save(box.level(1), true));
    const HighWater kept = box.level(2);
    REQUIRE(water.save(kept, true));
    REQUIRE(water.save(box.level(3), true));
    box.file()[600] ^= 1;
    Water again = box.water();
    REQUIRE(again.load().value() == kept);
    box.disk.fail_at(1);
    CHECK_FALSE(again.save(box.level(4), true));
    CHECK(box.water().load().value() == kept);
    const HighWater next = box.level(4);
    REQUIRE(again.save(next, true));
    CHECK(box.water().load().value() == next);
}

TEST_CASE("a high-water record under another key is none") {
    Box box;
    Water water = box.water();
    REQUIRE(water.load());
    REQUIRE(water.save(box.level(1), true));
    const protocol::AeadKey other = protocol::AeadKey::random(box.random);
    CHECK_FALSE(Water(box.disk, "/s", other).load().value().has_value());
}

TEST_CASE("a high-water record that cannot be read is an error, not a missing one") {
    Box box;
    box.disk.fail_at(1);
    CHECK(box.water().load().error().fault() == Fault::disk);
}
