#include "protocol/sync/beacon.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

struct Club {
    test::SeededRandom random{7};
    CircleId circle = random.draw<CircleId>();
    AeadKey epoch = AeadKey::random(random);
    DeviceId ada = random.draw<DeviceId>();
    DeviceId max = random.draw<DeviceId>();
    BeaconRun run = random.draw<BeaconRun>();

    Bytes adas_beacon() {
        std::vector<BeaconKey> keys;
        keys.push_back(beacon_key(circle, epoch));
        return write_beacon(keys, ada, run, 7300, random);
    }
    bool is_from(const Bytes& datagram, const DeviceId& device, const AeadKey& key) {
        const auto beacon = read_beacon(datagram);
        REQUIRE(beacon);
        return beacon->has(beacon_tag(beacon_key(circle, key), beacon->nonce, device));
    }
};

}  // namespace

TEST_CASE("a member of the circle knows whose beacon it is") {
    Club club;
    CHECK(club.is_from(club.adas_beacon(), club.ada, club.epoch));
}

TEST_CASE("a beacon is not taken for another member's") {
    Club club;
    CHECK_FALSE(club.is_from(club.adas_beacon(), club.max, club.epoch));
}

TEST_CASE("a beacon says nothing to somebody without the circle's key") {
    Club club;
    CHECK_FALSE(club.is_from(club.adas_beacon(), club.ada, AeadKey::random(club.random)));
}

TEST_CASE("two beacons of one node share no tag") {
    Club club;
    const auto first = read_beacon(club.adas_beacon());
    const auto second = read_beacon(club.adas_beacon());
    REQUIRE((first && second));
    CHECK_FALSE(second->has(first->tags[0]));
}

TEST_CASE("a beacon tells the port and the run of its node") {
    Club club;
    const auto beacon = read_beacon(club.adas_beacon());
    REQUIRE(beacon);
    CHECK(beacon->port == 7300);
    CHECK(beacon->run == club.run);
}

TEST_CASE("a datagram of any other length is no beacon") {
    Club club;
    const Bytes whole = club.adas_beacon();
    std::size_t taken = 0;
    for (std::size_t size = 0; size < whole.size(); ++size) taken += read_beacon(ByteView(whole).first(size)) ? 1 : 0;
    Bytes longer = whole;
    longer.push_back(0);
    taken += read_beacon(longer) ? 1 : 0;
    CHECK(taken == 0);
}

TEST_CASE("a datagram with another opening, no port or an impossible count is no beacon") {
    Club club;
    const auto changed = [&](std::size_t at, std::uint8_t value) {
        Bytes bytes = club.adas_beacon();
        bytes[at] = value;
        return read_beacon(bytes).has_value();
    };
    CHECK_FALSE(changed(0, 'X'));
    CHECK_FALSE(changed(3, 2));
    CHECK_FALSE(changed(30, 0));
    CHECK_FALSE(changed(30, 65));
    Bytes portless = club.adas_beacon();
    portless[28] = portless[29] = 0;
    CHECK_FALSE(read_beacon(portless).has_value());
}

TEST_CASE("more circles than a beacon holds leave the rest out") {
    Club club;
    std::vector<BeaconKey> keys;
    for (std::size_t i = 0; i < beacon_tags_max + 5; ++i)
        keys.push_back(beacon_key(club.circle, AeadKey::random(club.random)));
    const Bytes datagram = write_beacon(keys, club.ada, club.run, 1, club.random);
    CHECK(datagram.size() == beacon_bytes_max);
    CHECK(read_beacon(datagram).has_value());
}
