#pragma once
// Whom a beacon on a local network may come from: the devices of present members, with the keys of the shared circles.

#include <vector>

#include "protocol/crypto/aead.hpp"
#include "protocol/crypto/keys.hpp"
#include "protocol/event/ids.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

struct Neighbour {
    protocol::DeviceId device;
    protocol::DhPublic noise;
};

struct Neighbourhood {
    protocol::CircleId circle;
    std::vector<protocol::AeadKey> keys;  // newest first; never empty
    std::vector<Neighbour> devices;       // of present members, without this device
};

// Circles in which `me` is present and that somebody else is in, or another device of mine.
Result<std::vector<Neighbourhood>> neighbourhoods(sqlite::Database& db, const protocol::MemberId& me,
                                                  const protocol::DeviceId& own);

}  // namespace ladderline::store
