#include "protocol/sync/beacon.hpp"

#include <algorithm>

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::array<std::uint8_t, 4> opening{'L', 'L', 'B', 1};

}  // namespace

BeaconKey beacon_key(const CircleId& circle, const AeadKey& epoch_key) {
    BeaconKey out;
    blake2b(out.mutable_view(), {as_bytes("ladderline beacon key"), circle.view()}, epoch_key.view());
    return out;
}

BeaconTag beacon_tag(const BeaconKey& key, const BeaconNonce& nonce, const DeviceId& device) {
    std::array<std::uint8_t, 16> full;
    blake2b(full, {as_bytes("ladderline beacon"), nonce.view(), device.view()}, key.view());
    return BeaconTag::from(ByteView(full).first(BeaconTag::size));
}

bool Beacon::has(const BeaconTag& tag) const {
    return std::find(tags.begin(), tags.end(), tag) != tags.end();
}

Bytes write_beacon(const std::vector<BeaconKey>& keys, const DeviceId& own, const BeaconRun& run, std::uint16_t port,
                   Random& random) {
    ENSURE(!keys.empty() && port != 0);
    const std::size_t count = std::min(keys.size(), beacon_tags_max);
    const auto nonce = random.draw<BeaconNonce>();
    Bytes out(opening.begin(), opening.end());
    const auto put = [&](ByteView bytes) { out.insert(out.end(), bytes.begin(), bytes.end()); };
    put(nonce.view());
    put(run.view());
    out.push_back(static_cast<std::uint8_t>(port >> 8));
    out.push_back(static_cast<std::uint8_t>(port));
    out.push_back(static_cast<std::uint8_t>(count));
    for (std::size_t i = 0; i < count; ++i) put(beacon_tag(keys[i], nonce, own).view());
    return out;
}

std::optional<Beacon> read_beacon(ByteView datagram) {
    if (datagram.size() < beacon_head_bytes || !std::equal(opening.begin(), opening.end(), datagram.begin())) return {};
    Beacon out;
    out.nonce = BeaconNonce::from(datagram.subspan(4, BeaconNonce::size));
    out.run = BeaconRun::from(datagram.subspan(20, BeaconRun::size));
    out.port = static_cast<std::uint16_t>(datagram[28] << 8 | datagram[29]);
    const std::size_t count = datagram[30];
    if (out.port == 0 || count == 0 || count > beacon_tags_max ||
        datagram.size() != beacon_head_bytes + count * BeaconTag::size) {
        return {};
    }
    for (std::size_t i = 0; i < count; ++i) {
        out.tags.push_back(BeaconTag::from(datagram.subspan(beacon_head_bytes + i * BeaconTag::size, BeaconTag::size)));
    }
    return out;
}

}  // namespace ladderline::protocol
