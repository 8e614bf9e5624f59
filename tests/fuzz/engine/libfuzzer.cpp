// The same doors for libFuzzer (option LADDERLINE_FUZZER): its coverage finds the inputs, the door says what must hold.

#include "tests/fuzz/engine/mutator.hpp"
#include "tests/fuzz/engine/watch.hpp"

namespace {

const ladderline::fuzz::Door& the_door() {
    static const ladderline::fuzz::Door door = ladderline::fuzz::door();
    return door;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    if (size > the_door().bytes_max) return -1;
    ladderline::fuzz::knock_watched(the_door(), {bytes, size});
    return 0;
}

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* bytes, std::size_t size, std::size_t size_max);

// Every other change is one of our own: whole messages with a field changed, words of the door.
extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* bytes, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    using namespace ladderline;
    test::SeededRandom random(seed);
    if (fuzz::below(random, 2) == 0) return LLVMFuzzerMutate(bytes, size, size_max);
    const std::vector<Bytes> inputs{to_bytes({bytes, size})};
    Bytes changed = fuzz::Mutator(the_door(), inputs).next(random);
    changed.resize(std::min(changed.size(), size_max));
    std::copy(changed.begin(), changed.end(), bytes);
    return changed.size();
}
