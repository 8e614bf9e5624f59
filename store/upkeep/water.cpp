#include "store/upkeep/water.hpp"

#include <algorithm>
#include <array>

#include "protocol/crypto/hash.hpp"

namespace ladderline::store {
namespace {

constexpr std::size_t slot_bytes = 512;
constexpr std::size_t signed_bytes = 480;
constexpr std::string_view magic = "LADRWTR1";

using Slot = std::array<std::uint8_t, slot_bytes>;
struct SealTag;
using Seal = FixedBytes<SealTag, slot_bytes - signed_bytes>;

Seal seal_of(ByteView slot, const protocol::AeadKey& key) {
    Seal out;
    protocol::blake2b(out.mutable_view(), {slot.first(signed_bytes)}, key.view());
    return out;
}

void put_number(Slot& slot, std::size_t at, std::uint64_t value) {
    for (std::size_t i = 0; i < 8; ++i) slot[at + i] = static_cast<std::uint8_t>(value >> (8 * i));
}

std::uint64_t number_at(ByteView slot, std::size_t at) {
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < 8; ++i) value |= std::uint64_t{slot[at + i]} << (8 * i);
    return value;
}

void put_bytes(Slot& slot, std::size_t at, ByteView bytes) {
    std::copy(bytes.begin(), bytes.end(), slot.begin() + static_cast<std::ptrdiff_t>(at));
}

Slot encode(const HighWater& water, std::uint64_t count, const protocol::AeadKey& key) {
    Slot slot{};
    put_bytes(slot, 0, as_bytes(magic));
    put_number(slot, 8, count);
    put_bytes(slot, 16, water.instance.view());
    put_number(slot, 32, water.arrivals);
    put_number(slot, 40, water.own_events);
    put_bytes(slot, 48, water.own_heads.view());
    put_bytes(slot, 80, water.last_own.view());
    put_bytes(slot, signed_bytes, seal_of(slot, key).view());
    return slot;
}

HighWater decode(ByteView slot) {
    return {InstanceId::from(slot.subspan(16, 16)), number_at(slot, 32), number_at(slot, 40),
            OwnHeads::from(slot.subspan(48, 32)), protocol::EventId::from(slot.subspan(80, 32))};
}

bool is_genuine(ByteView slot, const protocol::AeadKey& key) {
    return as_text(slot.first(magic.size())) == magic &&
           protocol::equal_secret(seal_of(slot, key).view(), slot.subspan(signed_bytes));
}

protocol::AeadKey water_key(const protocol::AeadKey& data_key) {
    protocol::AeadKey key;
    protocol::blake2b(key.mutable_view(), {as_bytes("ladderline high water")}, data_key.view());
    return key;
}

}  // namespace

Water::Water(Disk& disk, const std::filesystem::path& folder, const protocol::AeadKey& data_key)
    : disk_(disk), file_(file_in(folder)), key_(water_key(data_key)) {}

Result<std::optional<HighWater>> Water::load() {
    std::optional<HighWater> found;
    Result<Bytes> bytes = disk_.read(file_);
    if (!bytes && bytes.error().fault() == Fault::not_found) return found;
    if (!bytes) return std::move(bytes).error();
    for (std::size_t at = 0; at + slot_bytes <= bytes.value().size() && at < 2 * slot_bytes; at += slot_bytes) {
        const ByteView slot = ByteView(bytes.value()).subspan(at, slot_bytes);
        if (!is_genuine(slot, key_) || (found && number_at(slot, 8) < count_)) continue;
        count_ = number_at(slot, 8);
        found = decode(slot);
    }
    return found;
}

Result<void> Water::save(const HighWater& water, bool flush) {
    const std::uint64_t count = count_ + 1;
    TRY(disk_.patch(file_, static_cast<std::size_t>(count % 2) * slot_bytes, encode(water, count, key_), flush));
    count_ = count;
    return ok();
}

}  // namespace ladderline::store
