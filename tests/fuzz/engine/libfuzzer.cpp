// The same doors for libFuzzer (option LADDERLINE_FUZZER): its coverage finds the inputs, the door says what must hold.

#include "tests/fuzz/engine/watch.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    static const ladderline::fuzz::Door door = ladderline::fuzz::door();
    if (size > door.bytes_max) return -1;
    ladderline::fuzz::knock_watched(door, {bytes, size});
    return 0;
}
