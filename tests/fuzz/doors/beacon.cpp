// A datagram from the local network.

#include "protocol/sync/beacon.hpp"

#include "tests/fuzz/engine/again.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

// Beacons are written with fresh tags only, so the layout is put together here (beacon.hpp).
Bytes written(const Beacon& beacon) {
    Bytes out = to_bytes(as_bytes("LLB\x01"));
    const auto put = [&](ByteView bytes) { out.insert(out.end(), bytes.begin(), bytes.end()); };
    put(beacon.nonce.view());
    put(beacon.run.view());
    put(Bytes{static_cast<std::uint8_t>(beacon.port >> 8), static_cast<std::uint8_t>(beacon.port)});
    out.push_back(static_cast<std::uint8_t>(beacon.tags.size()));
    for (const BeaconTag& tag : beacon.tags) put(tag.view());
    return out;
}

void knock(ByteView input) {
    const std::optional<Beacon> beacon = read_beacon(input);
    if (!beacon) return;
    demand(beacon->port != 0 && !beacon->tags.empty() && beacon->tags.size() <= beacon_tags_max, "a beacon's bounds");
    demand_same(input, written(*beacon));
}

Bytes call(std::size_t circles) {
    test::SeededRandom random(91);
    std::vector<BeaconKey> keys;
    for (std::size_t i = 0; i < circles; ++i) keys.push_back(BeaconKey::random(random));
    return write_beacon(keys, random.draw<DeviceId>(), random.draw<BeaconRun>(), 7373, random);
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {{"one_circle", call(1)}, {"three_circles", call(3)}, {"as_many_as_fit", call(beacon_tags_max)}};
    out.words = {"LLB\x01"};
    out.bytes_max = 2048;
    out.runs = 60'000;
    return out;
}

}  // namespace ladderline::fuzz
