#include "store/vault/key_slots.hpp"

#include <algorithm>

#include "protocol/crypto/hash.hpp"

namespace ladderline::store::vault {
namespace {

constexpr std::array<std::uint8_t, 3> magic{'L', 'L', 'K'};
constexpr std::uint8_t format_number = 1;
constexpr std::size_t head_bytes = 29;
constexpr std::size_t slot_bytes = 113;
constexpr std::size_t sum_bytes = 16;
constexpr std::size_t slots_max = 3;
constexpr std::uint32_t passes_max = 16;
constexpr std::uint32_t memory_kib_min = 8;
constexpr std::uint32_t memory_kib_max = 1024 * 1024;

Error damaged() {
    return {Fault::damaged,
            "The key file of this store is damaged; nothing was changed. Restore it from a backup, or use the paper "
            "key on a "
            "new store."};
}

void put_number(Bytes& out, std::uint64_t value, std::size_t bytes) {
    for (std::size_t i = 0; i < bytes; ++i) out.push_back(static_cast<std::uint8_t>(value >> (8 * i)));
}

void put_bytes(Bytes& out, ByteView bytes) {
    out.insert(out.end(), bytes.begin(), bytes.end());
}

// Takes from the front; the total length has been checked before.
struct Cursor {
    ByteView rest;
    ByteView take(std::size_t bytes) {
        const ByteView out = rest.first(bytes);
        rest = rest.subspan(bytes);
        return out;
    }
    std::uint64_t number(std::size_t bytes) {
        std::uint64_t value = 0;
        const ByteView taken = take(bytes);
        for (std::size_t i = 0; i < bytes; ++i) value |= std::uint64_t{taken[i]} << (8 * i);
        return value;
    }
};

std::array<std::uint8_t, sum_bytes> sum_of(ByteView bytes) {
    std::array<std::uint8_t, sum_bytes> out;
    protocol::blake2b(out, {bytes});
    return out;
}

// Type, cost and salt: what the slot key is made from.
Bytes parameters(const KeySlot& slot) {
    Bytes out{static_cast<std::uint8_t>(slot.type)};
    put_number(out, slot.cost.passes, 4);
    put_number(out, slot.cost.memory_kib, 4);
    put_bytes(out, slot.salt.view());
    return out;
}

Bytes associated_data(const KeySlot& slot, const StoreId& store_id) {
    Bytes out = to_bytes(store_id.view());
    put_bytes(out, parameters(slot));
    return out;
}

bool cost_in_range(const KeySlot& slot) {
    if (slot.type != SlotType::passphrase) return slot.cost == protocol::PassphraseCost{0, 0};
    return slot.cost.passes >= 1 && slot.cost.passes <= passes_max && slot.cost.memory_kib >= memory_kib_min &&
           slot.cost.memory_kib <= memory_kib_max;
}

Result<protocol::AeadKey> slot_key(const KeySlot& slot, ByteView secret) {
    if (slot.type == SlotType::passphrase) return protocol::key_from_passphrase(secret, slot.salt, slot.cost);
    protocol::AeadKey out;
    protocol::blake2b(out.mutable_view(), {as_bytes("ladderline slot key"), slot.salt.view(), secret});
    return out;
}

Commitment commitment_to(const protocol::AeadKey& key) {
    Commitment out;
    protocol::blake2b(out.mutable_view(), {as_bytes("ladderline slot commit"), key.view()});
    return out;
}

Error wrong_secret(SlotType type) {
    switch (type) {
        case SlotType::paper:
            return {Fault::wrong_key,
                    "That paper key does not open this store; nothing was changed. Check each group and try again."};
        case SlotType::key_file:
            return {Fault::wrong_key,
                    "That key file does not open this store; nothing was changed. Check which file was meant."};
        case SlotType::passphrase:
            break;
    }
    return {Fault::wrong_key, "That passphrase does not open this store; nothing was changed. Try again."};
}

KeySlot take_slot(Cursor& in) {
    KeySlot slot;
    slot.type = static_cast<SlotType>(in.number(1));
    slot.cost.passes = static_cast<std::uint32_t>(in.number(4));
    slot.cost.memory_kib = static_cast<std::uint32_t>(in.number(4));
    slot.salt = protocol::Salt::from(in.take(protocol::Salt::size));
    slot.nonce = protocol::XNonce::from(in.take(protocol::XNonce::size));
    const ByteView sealed = in.take(slot.sealed.size());
    std::copy(sealed.begin(), sealed.end(), slot.sealed.begin());
    slot.commitment = Commitment::from(in.take(Commitment::size));
    return slot;
}

}  // namespace

const KeySlot* KeySlots::find(SlotType type) const {
    const auto found = std::find_if(slots.begin(), slots.end(), [&](const KeySlot& s) { return s.type == type; });
    return found == slots.end() ? nullptr : &*found;
}

void KeySlots::put(const KeySlot& slot) {
    std::erase_if(slots, [&](const KeySlot& s) { return s.type == slot.type; });
    const auto at = std::find_if(slots.begin(), slots.end(), [&](const KeySlot& s) { return s.type > slot.type; });
    slots.insert(at, slot);
}

Bytes encode(const KeySlots& file) {
    ENSURE(!file.slots.empty() && file.slots.size() <= slots_max);
    Bytes out(magic.begin(), magic.end());
    out.push_back(format_number);
    put_bytes(out, file.store_id.view());
    put_number(out, file.generation, 8);
    put_number(out, file.slots.size(), 1);
    for (const KeySlot& slot : file.slots) {
        put_bytes(out, parameters(slot));
        put_bytes(out, slot.nonce.view());
        put_bytes(out, slot.sealed);
        put_bytes(out, slot.commitment.view());
    }
    put_bytes(out, sum_of(out));
    return out;
}

Result<KeySlots> decode_key_slots(ByteView bytes) {
    if (bytes.size() < head_bytes + sum_bytes) return damaged();
    const ByteView summed = bytes.first(bytes.size() - sum_bytes);
    if (!protocol::equal_secret(sum_of(summed), bytes.last(sum_bytes))) return damaged();
    Cursor in{summed};
    const ByteView found_magic = in.take(magic.size());
    if (!std::equal(magic.begin(), magic.end(), found_magic.begin())) return damaged();
    if (in.number(1) != format_number) {
        return Error{Fault::unsupported,
                     "The key file of this store was made by a newer Ladderline; nothing was changed. Update this one, "
                     "then try again."};
    }
    KeySlots out;
    out.store_id = StoreId::from(in.take(StoreId::size));
    out.generation = in.number(8);
    const auto count = static_cast<std::size_t>(in.number(1));
    if (count < 1 || count > slots_max || in.rest.size() != count * slot_bytes) return damaged();
    int last_type = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const KeySlot slot = take_slot(in);
        const int type = static_cast<int>(slot.type);
        if (type <= last_type || type > static_cast<int>(SlotType::key_file) || !cost_in_range(slot)) return damaged();
        last_type = type;
        out.slots.push_back(slot);
    }
    return out;
}

Result<KeySlot> seal_slot(SlotType type, ByteView secret, const protocol::PassphraseCost& cost, const StoreId& store_id,
                          const protocol::AeadKey& data_key, Random& random) {
    KeySlot slot;
    slot.type = type;
    if (type == SlotType::passphrase) slot.cost = cost;
    if (secret.empty())
        return Error{Fault::bad_input, "An empty passphrase protects nothing; nothing was changed. Choose another."};
    if (!cost_in_range(slot))
        return Error{Fault::bad_input,
                     "The passphrase settings are outside what this program accepts; nothing was changed."};
    slot.salt = random.draw<protocol::Salt>();
    slot.nonce = random.draw<protocol::XNonce>();
    TRY(const protocol::AeadKey key, slot_key(slot, secret));
    const Bytes sealed = protocol::xseal(key, slot.nonce, associated_data(slot, store_id), data_key.view());
    std::copy(sealed.begin(), sealed.end(), slot.sealed.begin());
    slot.commitment = commitment_to(key);
    return slot;
}

Result<protocol::AeadKey> open_slot(const KeySlot& slot, ByteView secret, const StoreId& store_id) {
    if (!cost_in_range(slot)) return damaged();
    TRY(const protocol::AeadKey key, slot_key(slot, secret));
    if (!protocol::equal_secret(commitment_to(key).view(), slot.commitment.view())) return wrong_secret(slot.type);
    Result<Bytes> opened = protocol::xopen(key, slot.nonce, associated_data(slot, store_id), slot.sealed);
    if (!opened) return damaged();
    protocol::AeadKey data_key = protocol::AeadKey::copy_of(opened.value());
    protocol::wipe(opened.value());
    return data_key;
}

}  // namespace ladderline::store::vault
