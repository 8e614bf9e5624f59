// The key file of a store, from a disk that may be damaged or a backup that may be anybody's. Input: the two copies as
// pieces. Opened with the secret of a key file, which asks for no Argon2id.

#include "store/vault/key_file.hpp"

#include "protocol/crypto/hash.hpp"
#include "tests/fuzz/engine/again.hpp"
#include "tests/fuzz/engine/pieces.hpp"
#include "tests/support/store/memory_disk.hpp"

namespace ladderline::fuzz {
namespace {

using namespace store::vault;

const std::filesystem::path folder = "/mem/club";
const Bytes secret(32, 9);
const protocol::PassphraseCost quick{1, 8};

// A store with a slot of every type, and its key.
struct Made {
    test::MemoryDisk disk;
    test::SeededRandom random{111};
    KeyFile file = KeyFile::create(disk, folder, as_bytes("eighty metres at dusk"), quick, random).value();

    explicit Made(bool every_type) {
        ENSURE(file.set_slot(disk, SlotType::key_file, secret, quick, random).has_value());
        if (every_type) ENSURE(file.set_slot(disk, SlotType::paper, Bytes(32, 8), quick, random).has_value());
    }
    Bytes copies() { return join_pieces({disk.files[folder / "keys"], disk.files[folder / "keys.copy"]}); }
};

void knock(ByteView input) {
    static const Bytes data_key = to_bytes(Made(true).file.data_key().view());
    const std::vector<Bytes> copies = cut_pieces(input);
    test::MemoryDisk disk;
    for (std::size_t i = 0; i < std::min<std::size_t>(copies.size(), 2); ++i) {
        const Result<KeySlots> slots = decode_key_slots(copies[i]);
        if (slots) demand_same(copies[i], encode(slots.value()));
        if (!slots) demand_sentence(slots.error().sentence());
        disk.files[folder / (i == 0 ? "keys" : "keys.copy")] = copies[i];
    }
    const auto before = disk.files;
    const Result<KeyFile> opened = KeyFile::open(disk, folder, SlotType::key_file, secret);
    if (!opened) {
        demand_sentence(opened.error().sentence());
        demand(disk.files == before, "a key file that does not open stays as it is");
        return;
    }
    const ByteView key = opened.value().data_key().view();
    demand(std::equal(key.begin(), key.end(), data_key.begin(), data_key.end()), "what opens is the store's own key");
}

// The sum at the end fits again, so that the reader behind it is reached.
Bytes with_sum(Bytes copy) {
    constexpr std::size_t sum_bytes = 16;
    if (copy.size() < sum_bytes) return copy;
    const ByteView said = ByteView(copy).first(copy.size() - sum_bytes);
    std::array<std::uint8_t, sum_bytes> sum{};
    protocol::blake2b(sum, {said});
    std::copy(sum.begin(), sum.end(), copy.end() - sum_bytes);
    return copy;
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    Made one(false);
    Made all(true);
    out.seeds = {{"two_slots", one.copies()},
                 {"three_slots", all.copies()},
                 {"one_copy", join_pieces({all.disk.files[folder / "keys"]})}};
    out.reshape = [](ByteView input, test::SeededRandom& random) {
        return reshape_pieces(
            input, random, [](const Bytes& copy, test::SeededRandom& dice) { return with_sum(nibbled(copy, dice)); });
    };
    out.words = {"LLK\x01"};
    out.runs = 4000;
    return out;
}

}  // namespace ladderline::fuzz
