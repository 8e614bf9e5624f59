#pragma once
// Changes inputs without knowing what they mean: bits, numbers at an edge, pieces moved, doubled, cut, taken from other
// inputs, words of the door.

#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {

class Mutator {
public:
    // Both outlive the object. `inputs`: to begin from and to take pieces of.
    Mutator(const Door& door, const std::vector<Bytes>& inputs) : door_(door), inputs_(inputs) {}

    // The next input, at most door.bytes_max long; the same for the same state of `random`.
    Bytes next(test::SeededRandom& random) const;

private:
    void change(Bytes& bytes, test::SeededRandom& random) const;
    void splice(Bytes& bytes, test::SeededRandom& random) const;
    void put_word(Bytes& bytes, test::SeededRandom& random) const;
    void blow_up(Bytes& bytes, test::SeededRandom& random) const;

    const Door& door_;
    const std::vector<Bytes>& inputs_;
};

// 0 to bound - 1; bound > 0.
inline std::size_t below(test::SeededRandom& random, std::size_t bound) {
    return static_cast<std::size_t>(random.next() % bound);
}

}  // namespace ladderline::fuzz
