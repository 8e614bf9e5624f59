#pragma once
// The bytes of a key file: which secrets open the data key of a store.
//
//    0   3  "LLK"
//    3   1  format: 1
//    4  16  store id, random, the same for the life of the store
//   20   8  generation, little-endian; of two copies the higher one is newer
//   28   1  number of slots, 1 to 3, in rising order of type, each type at most once
//   29 113  each slot:
//             0   1  type: 1 passphrase, 2 paper key, 3 key file
//             1   4  Argon2id passes, little-endian, 1 to 16       (passphrase only, else 0)
//             5   4  Argon2id memory in KiB, little-endian, 8 to 1048576   (passphrase only, else 0)
//             9  16  salt
//            25  24  nonce
//            49  48  data key under XChaCha20-Poly1305 with the slot key; associated data: store id, bytes 0 to 24
//            97  16  commitment: BLAKE2b("ladderline slot commit", slot key)
//    end 16  BLAKE2b of all bytes before, no key: tells damage from a wrong passphrase
//
// Slot key: Argon2id (RFC 9106) of the passphrase; of a paper key or key file, which are random already, BLAKE2b of
// "ladderline slot key", the salt and the secret. The commitment keeps one sealed key from opening under two
// passphrases.

#include <vector>

#include "protocol/base/random.hpp"
#include "protocol/crypto/passphrase.hpp"

namespace ladderline::store::vault {

enum class SlotType : std::uint8_t { passphrase = 1, paper = 2, key_file = 3 };

struct StoreIdTag;
using StoreId = FixedBytes<StoreIdTag, 16>;

struct CommitmentTag;
using Commitment = FixedBytes<CommitmentTag, 16>;

struct KeySlot {
    SlotType type = SlotType::passphrase;
    protocol::PassphraseCost cost{0, 0};
    protocol::Salt salt;
    protocol::XNonce nonce;
    std::array<std::uint8_t, protocol::AeadKey::size + protocol::aead_tag_bytes> sealed{};
    Commitment commitment;
};

struct KeySlots {
    StoreId store_id;
    std::uint64_t generation = 0;
    std::vector<KeySlot> slots;  // rising by type

    const KeySlot* find(SlotType type) const;
    // Adds it, or puts it in the place of the one of its type.
    void put(const KeySlot& slot);
};

Bytes encode(const KeySlots& slots);
// damaged: not what was written, or a value out of range. unsupported: a newer format.
Result<KeySlots> decode_key_slots(ByteView bytes);

// `secret`: the passphrase as typed, the paper key's paper_slot_secret, or the bytes of a key file. `cost` counts for a
// passphrase. refused: not enough memory; bad_input: a cost out of range, an empty secret.
Result<KeySlot> seal_slot(SlotType type, ByteView secret, const protocol::PassphraseCost& cost, const StoreId& store_id,
                          const protocol::AeadKey& data_key, Random& random);
// wrong_key: another secret. damaged: the right secret, but the sealed key was changed.
Result<protocol::AeadKey> open_slot(const KeySlot& slot, ByteView secret, const StoreId& store_id);

}  // namespace ladderline::store::vault
