#pragma once
// The high-water record: how far a store had come, kept beside its database in the file "water", so that a database
// that was put back to an older time is noticed.
//
// Two slots of 512 bytes, one disk sector each, written in turn; numbers little-endian:
//
//   0    8   "LADRWTR1"
//   8    8   count of writes; its parity names the slot
//   16   16  instance id
//   32   8   arrivals (event_log.hpp)
//   40   8   events in own logs
//   48   32  digest of the own logs' heads
//   80   32  the own event that came last; zeros if there is none
//   112  368 zeros
//   480  32  keyed BLAKE2b of the 480 bytes before, under a key that is a keyed BLAKE2b of a name under the data key
//
// The genuine slot with the higher count stands. A slot that is lost or torn leaves the other, which is one write
// older; being older is no alarm.

#include <filesystem>
#include <optional>

#include "protocol/crypto/aead.hpp"
#include "protocol/event/ids.hpp"
#include "store/disk.hpp"

namespace ladderline::store {

// Drawn anew whenever a store cannot know that it is the only one that goes on from its events.
struct InstanceIdTag;
using InstanceId = FixedBytes<InstanceIdTag, 16>;
struct OwnHeadsTag;
using OwnHeads = FixedBytes<OwnHeadsTag, 32>;

struct HighWater {
    InstanceId instance;
    std::uint64_t arrivals = 0;
    std::uint64_t own_events = 0;
    OwnHeads own_heads;
    protocol::EventId last_own;

    bool operator==(const HighWater&) const = default;
};

class Water {
public:
    // `disk` outlives the object.
    Water(Disk& disk, const std::filesystem::path& folder, const protocol::AeadKey& data_key);

    // None if there is no file or no genuine slot. disk: it cannot be read.
    Result<std::optional<HighWater>> load();
    // Precondition: load() was called. `flush`: on the disk on success; without it a power cut may bring back the slot
    // before.
    Result<void> save(const HighWater& water, bool flush);

    static std::filesystem::path file_in(const std::filesystem::path& folder) { return folder / "water"; }

private:
    Disk& disk_;
    std::filesystem::path file_;
    protocol::AeadKey key_;
    std::uint64_t count_ = 0;
};

}  // namespace ladderline::store
