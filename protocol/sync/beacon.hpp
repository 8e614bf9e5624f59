#pragma once
// The word that a node calls out on a local network, so that members of its circles find it. One datagram:
//
//   offset  bytes  what
//   0       3      "LLB"
//   3       1      version, now 1
//   4       16     nonce, random, fresh for every datagram
//   20      8      run: random, drawn when the node starts; a new one shows a restart
//   28      2      TCP port, big-endian, not 0
//   30      1      number of tags, 1 to 64
//   31      8 each tags, one for each circle: keyed BLAKE2b (16 bytes, first 8) under the beacon key of the circle over
//                  "ladderline beacon", nonce and device id
//
// The beacon key is derived from the circle's epoch key: only members can tell whose tag it is, and no two datagrams of
// one node have anything in common but `run`. No clock is asked. A recorded beacon sent again from elsewhere leads its
// finder to a call that fails, because a call proves the device's key.

#include <optional>
#include <vector>

#include "protocol/base/random.hpp"
#include "protocol/crypto/aead.hpp"
#include "protocol/crypto/keys.hpp"
#include "protocol/event/ids.hpp"

namespace ladderline::protocol {

inline constexpr std::size_t beacon_head_bytes = 31;
inline constexpr std::size_t beacon_tags_max = 64;  // as many as two peers can share circles
inline constexpr std::size_t beacon_bytes_max = beacon_head_bytes + beacon_tags_max * 8;

struct BeaconNonceTag;
using BeaconNonce = FixedBytes<BeaconNonceTag, 16>;
struct BeaconRunTag;
using BeaconRun = FixedBytes<BeaconRunTag, 8>;
struct BeaconTagTag;
using BeaconTag = FixedBytes<BeaconTagTag, 8>;
struct BeaconKeyTag;
using BeaconKey = Secret<BeaconKeyTag, 32>;

BeaconKey beacon_key(const CircleId& circle, const AeadKey& epoch_key);
BeaconTag beacon_tag(const BeaconKey& key, const BeaconNonce& nonce, const DeviceId& device);

struct Beacon {
    BeaconNonce nonce;
    BeaconRun run;
    std::uint16_t port = 0;
    std::vector<BeaconTag> tags;

    bool has(const BeaconTag& tag) const;
};

// `keys`: one for each circle; the first beacon_tags_max count. Precondition: not empty, port not 0.
Bytes write_beacon(const std::vector<BeaconKey>& keys, const DeviceId& own, const BeaconRun& run, std::uint16_t port,
                   Random& random);
// None for anything that is not exactly a beacon of this version. Any datagram may be given.
std::optional<Beacon> read_beacon(ByteView datagram);

}  // namespace ladderline::protocol
