#include "tests/fuzz/engine/mutator.hpp"

#include <array>

namespace ladderline::fuzz {
namespace {

using test::SeededRandom;

struct Range {
    std::size_t from = 0;
    std::size_t size = 0;
};
// Mostly short; never empty for bytes that are not.
Range any_range(ByteView bytes, SeededRandom& random) {
    if (bytes.empty()) return {};
    const std::size_t from = below(random, bytes.size());
    const std::size_t size_max = bytes.size() - from;
    const std::size_t size = below(random, 4) == 0 ? size_max : std::min<std::size_t>(size_max, 16);
    return {from, 1 + below(random, size)};
}

auto at(Bytes& bytes, std::size_t place) {
    return bytes.begin() + static_cast<std::ptrdiff_t>(place);
}

Bytes piece(ByteView bytes, const Range& range) {
    return to_bytes(bytes.subspan(range.from, range.size));
}

void insert(Bytes& bytes, std::size_t place, ByteView what) {
    bytes.insert(at(bytes, place), what.begin(), what.end());
}

// A number at an edge, in 1 to 8 bytes of either order; over what stands there.
void put_number(Bytes& bytes, SeededRandom& random) {
    constexpr std::array<std::uint64_t, 14> edges{0,          1,          0x7F,       0x80,       0xFF,
                                                  0x7FFF,     0x8000,     0xFFFF,     0x7FFFFFFF, 0x80000000,
                                                  0xFFFFFFFF, 1ULL << 62, 1ULL << 63, ~0ULL};
    const std::size_t width = std::size_t{1} << below(random, 4);
    if (bytes.size() < width) return;
    const std::size_t place = below(random, bytes.size() - width + 1);
    std::uint64_t value = edges[below(random, edges.size())] + below(random, 3) - 1;
    if (below(random, 4) == 0) value = bytes.size() - place + below(random, 5) - 2;  // what remains, or nearly
    const bool big_endian = below(random, 2) == 0;
    for (std::size_t i = 0; i < width; ++i) {
        bytes[place + (big_endian ? width - 1 - i : i)] = static_cast<std::uint8_t>(value >> (8 * i));
    }
}

// The same in base 128, as the codec writes numbers.
void put_varint(Bytes& bytes, SeededRandom& random) {
    std::uint64_t value = random.next() >> below(random, 64);
    if (below(random, 3) == 0) value = bytes.size() + below(random, 5) - 2;
    Bytes number;
    while (value >= 0x80) {
        number.push_back(static_cast<std::uint8_t>(value | 0x80));
        value >>= 7;
    }
    number.push_back(static_cast<std::uint8_t>(value));
    const std::size_t place = below(random, bytes.size() + 1);
    if (place < bytes.size() && below(random, 2) == 0) bytes.erase(at(bytes, place));
    insert(bytes, place, number);
}

}  // namespace

void Mutator::splice(Bytes& bytes, SeededRandom& random) const {
    const Bytes& other = inputs_[below(random, inputs_.size())];
    if (other.empty()) return;
    const Bytes part = piece(other, any_range(other, random));
    const std::size_t place = below(random, bytes.size() + 1);
    if (below(random, 2) == 0) bytes.resize(place);
    insert(bytes, place, part);
}

void Mutator::put_word(Bytes& bytes, SeededRandom& random) const {
    if (door_.words.empty()) return;
    const ByteView word = as_bytes(door_.words[below(random, door_.words.size())]);
    const std::size_t place = below(random, bytes.size() + 1);
    const std::size_t over = below(random, 2) == 0 ? 0 : std::min(word.size(), bytes.size() - place);
    bytes.erase(at(bytes, place), at(bytes, place + over));
    insert(bytes, place, word);
}

// One piece again and again: what is slow or deep only when there is much of it.
void Mutator::blow_up(Bytes& bytes, SeededRandom& random) const {
    if (bytes.empty()) return;
    const Range range = any_range(bytes, random);
    const Bytes part = piece(bytes, range);
    const std::size_t room = door_.bytes_max > bytes.size() ? door_.bytes_max - bytes.size() : 0;
    const std::size_t times = room / part.size();
    if (times == 0) return;
    Bytes many;
    for (std::size_t i = 1 + below(random, times); i > 0; --i) many.insert(many.end(), part.begin(), part.end());
    insert(bytes, range.from, many);
}

void Mutator::change(Bytes& bytes, SeededRandom& random) const {
    const Range range = any_range(bytes, random);
    switch (below(random, 11)) {
        case 0:
            if (!bytes.empty()) bytes[range.from] ^= static_cast<std::uint8_t>(1U << below(random, 8));
            break;
        case 1:
            if (!bytes.empty()) bytes[range.from] = static_cast<std::uint8_t>(random.next());
            break;
        case 2:
            put_number(bytes, random);
            break;
        case 3:
            put_varint(bytes, random);
            break;
        case 4:
            bytes.erase(at(bytes, range.from), at(bytes, range.from + range.size));
            break;
        case 5:
            insert(bytes, below(random, bytes.size() + 1), piece(bytes, range));
            break;
        case 6:
            splice(bytes, random);
            break;
        case 7:
            bytes.resize(below(random, bytes.size() + 1));
            break;
        case 8: {
            Bytes noise(1 + below(random, 16));
            random.fill(noise);
            insert(bytes, below(random, bytes.size() + 1), noise);
            break;
        }
        default:
            put_word(bytes, random);
            break;
    }
}

Bytes Mutator::next(SeededRandom& random) const {
    Bytes out = inputs_[below(random, inputs_.size())];
    if (door_.reshape && below(random, 2) == 0) {
        out = door_.reshape(out, random);
    } else {
        for (std::size_t i = 1 + below(random, 5); i > 0; --i) change(out, random);
        if (below(random, 64) == 0) blow_up(out, random);
    }
    if (out.size() > door_.bytes_max) out.resize(door_.bytes_max);
    return out;
}

}  // namespace ladderline::fuzz
