#include "store/vault/key_slots.hpp"

#include <doctest/doctest.h>

#include <functional>

#include "protocol/crypto/hash.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::store::vault;

namespace {

constexpr protocol::PassphraseCost quick{1, 8};

struct Bench {
    test::SeededRandom random{8};
    StoreId id = random.draw<StoreId>();
    protocol::AeadKey data_key = protocol::AeadKey::random(random);

    KeySlot slot(SlotType type) {
        return seal_slot(type, as_bytes("sixteen random ok"), quick, id, data_key, random).value();
    }
    KeySlots file() {
        KeySlots out{id, 3, {}};
        out.put(slot(SlotType::paper));
        out.put(slot(SlotType::passphrase));
        return out;
    }
};

// The file with a right sum over changed contents: what somebody who knows the format can write.
Bytes forged(Bytes bytes, const std::function<void(Bytes&)>& change) {
    bytes.erase(bytes.end() - 16, bytes.end());
    change(bytes);
    std::array<std::uint8_t, 16> sum;
    protocol::blake2b(sum, {ByteView(bytes)});
    bytes.insert(bytes.end(), sum.begin(), sum.end());
    return bytes;
}

constexpr std::size_t first_slot = 29;

}  // namespace

TEST_CASE("a key file reads back as written") {
    Bench bench;
    const Bytes bytes = encode(bench.file());
    CHECK(bytes.size() == 29 + 2 * 113 + 16);
    const KeySlots read = decode_key_slots(bytes).value();
    CHECK(read.store_id == bench.id);
    CHECK(read.generation == 3);
    REQUIRE(read.slots.size() == 2);
    CHECK(read.slots[0].type == SlotType::passphrase);
    CHECK(read.slots[1].type == SlotType::paper);
    CHECK(encode(read) == bytes);
}

TEST_CASE("a slot opens with its secret and with no other") {
    Bench bench;
    for (const SlotType type : {SlotType::passphrase, SlotType::paper, SlotType::key_file}) {
        const KeySlot slot = bench.slot(type);
        const auto opened = open_slot(slot, as_bytes("sixteen random ok"), bench.id);
        REQUIRE(opened);
        CHECK(protocol::equal_secret(opened.value().view(), bench.data_key.view()));
        CHECK(open_slot(slot, as_bytes("sixteen random oK"), bench.id).error().fault() == Fault::wrong_key);
    }
}

TEST_CASE("with the right secret a changed slot is damage, not a wrong passphrase") {
    Bench bench;
    KeySlot sealed = bench.slot(SlotType::passphrase);
    sealed.sealed[3] ^= 1;
    CHECK(open_slot(sealed, as_bytes("sixteen random ok"), bench.id).error().fault() == Fault::damaged);
    KeySlot nonce = bench.slot(SlotType::passphrase);
    nonce.nonce.data[0] ^= 1;
    CHECK(open_slot(nonce, as_bytes("sixteen random ok"), bench.id).error().fault() == Fault::damaged);
}

TEST_CASE("a slot of one store does not open in the key file of another") {
    Bench bench;
    const KeySlot slot = bench.slot(SlotType::paper);
    const StoreId other = bench.random.draw<StoreId>();
    CHECK(open_slot(slot, as_bytes("sixteen random ok"), other).error().fault() == Fault::damaged);
}

TEST_CASE("values out of range are damage before they are used") {
    Bench bench;
    const Bytes bytes = encode(bench.file());
    struct Case {
        const char* what;
        std::size_t at;
        Bytes value;
    };
    const Case cases[] = {
        {"no passes", first_slot + 1, {0, 0, 0, 0}},
        {"a thousand million passes", first_slot + 1, {0, 0, 0, 0x40}},
        {"17 passes", first_slot + 1, {17, 0, 0, 0}},
        {"4 TiB of memory", first_slot + 5, {0xff, 0xff, 0xff, 0xff}},
        {"just above 1 GiB of memory", first_slot + 5, {0x01, 0x00, 0x10, 0x00}},
        {"7 KiB of memory", first_slot + 5, {7, 0, 0, 0}},
        {"slot type 0", first_slot, {0}},
        {"slot type 4", first_slot + 113, {4}},
        {"the same type twice", first_slot + 113, {1}},
        {"types out of order", first_slot, {3}},
        {"a cost for a paper key", first_slot + 113 + 1, {1}},
        {"no slots", 28, {0}},
        {"more slots than bytes", 28, {3}},
        {"far more slots", 28, {255}},
        {"another magic", 0, {'X'}},
    };
    for (const Case& c : cases) {
        CAPTURE(c.what);
        const Bytes changed = forged(bytes, [&](Bytes& b) {
            std::copy(c.value.begin(), c.value.end(), b.begin() + static_cast<std::ptrdiff_t>(c.at));
        });
        CHECK(decode_key_slots(changed).error().fault() == Fault::damaged);
    }
}

TEST_CASE("a cost lowered by a thief of the disk does not open with the right passphrase") {
    Bench bench;
    KeySlot slot = bench.slot(SlotType::passphrase);
    slot.cost.passes = 2;
    CHECK_FALSE(open_slot(slot, as_bytes("sixteen random ok"), bench.id));
}

TEST_CASE("a key file of a newer format says so") {
    Bench bench;
    const Bytes newer = forged(encode(bench.file()), [](Bytes& b) { b[3] = 2; });
    CHECK(decode_key_slots(newer).error().fault() == Fault::unsupported);
}
