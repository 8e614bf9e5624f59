// The record of how far a store had come, beside its database.

#include "store/upkeep/water.hpp"
#include "tests/fuzz/engine/door.hpp"
#include "tests/support/store/memory_disk.hpp"

namespace ladderline::fuzz {
namespace {

using namespace store;

const std::filesystem::path folder = "/mem/club";

protocol::AeadKey data_key() {
    test::SeededRandom random(121);
    return protocol::AeadKey::random(random);
}

HighWater water(std::uint64_t arrivals) {
    HighWater out;
    out.instance.data[0] = 3;
    out.arrivals = arrivals;
    return out;
}

Bytes record(int writes) {
    test::MemoryDisk disk;
    Water kept(disk, folder, data_key());
    ENSURE(kept.load().has_value());
    for (int i = 1; i <= writes; ++i) ENSURE(kept.save(water(static_cast<std::uint64_t>(i)), true).has_value());
    return disk.files[Water::file_in(folder)];
}

void knock(ByteView input) {
    test::MemoryDisk disk;
    disk.files[Water::file_in(folder)] = to_bytes(input);
    Water kept(disk, folder, data_key());
    const auto found = kept.load();
    demand(found.has_value(), "a damaged record is no record");
    if (found.value()) {
        const std::uint64_t arrivals = found.value()->arrivals;
        demand(*found.value() == water(arrivals) && arrivals >= 1 && arrivals <= 3, "only what was written is read");
    }
    demand(kept.save(water(9), true).has_value(), "and it is written on");
    Water again(disk, folder, data_key());
    demand(again.load().value() == water(9), "and read again");
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {{"one_write", record(1)}, {"two_writes", record(2)}, {"three_writes", record(3)}};
    out.bytes_max = 4096;
    out.runs = 6000;
    return out;
}

}  // namespace ladderline::fuzz
