#pragma once
// Whom a beacon on a local network may come from: the devices of present members, with the keys of the shared circles.

#include <vector>

#include "protocol/crypto/aead.hpp"
#include "protocol/crypto/keys.hpp"
#include "protocol/event/ids.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

// Keys of a circle that a beacon is tried with: the one that is written under, and a few more, by which whoever missed
// changes of key is still known. Each is tried with every device of the circle for every datagram.
inline constexpr std::size_t neighbour_keys_max = 9;

struct Neighbour {
    protocol::DeviceId device;
    protocol::DhPublic noise;
};

struct Neighbourhood {
    protocol::CircleId circle;
    std::vector<protocol::AeadKey> keys;  // the one that is written under first; never empty
    std::vector<Neighbour> devices;       // of present members, without this device
};

// Circles in which `me` is present and that somebody else is in, or another device of mine.
Result<std::vector<Neighbourhood>> neighbourhoods(sqlite::Database& db, const protocol::MemberId& me,
                                                  const protocol::DeviceId& own);

}  // namespace ladderline::store
