#pragma once
// A door: a place where bytes of others come in, and what it promises for any bytes whatever. A file of
// tests/fuzz/doors defines door() and nothing else that is seen outside; the driver (driver.cpp) or libFuzzer
// (libfuzzer.cpp) knocks.

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::fuzz {

// An input that the door's own encoder made; `name` is the file's name in the corpus.
struct Seed {
    std::string name;
    Bytes bytes;
};

// What one input may cost. Memory is what operator new gave out while the door was knocked at. Work stands for time, so
// that no clock decides: bytes that were ever taken, and 32 for each taking.
struct Bounds {
    std::size_t memory_bytes = 1024 * 1024;  // at once, and
    std::size_t memory_per_input_byte = 64;
    std::size_t work = 16 * 1024 * 1024;  // in all, and
    std::size_t work_per_input_byte = 2048;
};

struct Door {
    // Demands what holds for any input. Deterministic; keeps nothing from one call to the next.
    std::function<void(ByteView)> knock;
    std::vector<Seed> seeds;
    // Pieces worth putting into an input: marks, key words, numbers at an edge.
    std::vector<std::string> words;
    std::size_t bytes_max = 64 * 1024;
    std::size_t runs = 20'000;  // mutated inputs at LADDERLINE_TEST_SIZE 1: a second or two with sanitizers
    Bounds bounds;
    // Changes an input so that its outer form stays whole; absent: bytes only. Used for every other input.
    std::function<Bytes(ByteView, test::SeededRandom&)> reshape;
};

Door door();

// Ends the run as a crash does, with the sentence that was broken.
void demand(bool holds, std::string_view sentence);
// An error for people: not empty, one line, ends like a sentence, not longer than a screen.
void demand_sentence(std::string_view text);

}  // namespace ladderline::fuzz
