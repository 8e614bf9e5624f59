#pragma once
// Inputs that are several pieces: each u16 little-endian length, then that many bytes; a last one that is cut short is
// taken as it is.

#include "tests/fuzz/engine/mutator.hpp"

namespace ladderline::fuzz {

inline std::vector<Bytes> cut_pieces(ByteView input) {
    std::vector<Bytes> out;
    while (input.size() >= 2) {
        const std::size_t said = input[0] | static_cast<std::size_t>(input[1]) << 8;
        const std::size_t size = std::min(said, input.size() - 2);
        out.push_back(to_bytes(input.subspan(2, size)));
        input = input.subspan(2 + size);
    }
    return out;
}

// Precondition: none longer than 65,535 bytes.
inline Bytes join_pieces(const std::vector<Bytes>& pieces) {
    Bytes out;
    for (const Bytes& piece : pieces) {
        ENSURE(piece.size() <= 0xFFFF);
        out.push_back(static_cast<std::uint8_t>(piece.size()));
        out.push_back(static_cast<std::uint8_t>(piece.size() >> 8));
        out.insert(out.end(), piece.begin(), piece.end());
    }
    return out;
}

// Leaves one out, says one twice, or swaps two; otherwise gives one to `inside`.
template <class Inside>
Bytes reshape_pieces(ByteView input, test::SeededRandom& random, const Inside& inside) {
    std::vector<Bytes> pieces = cut_pieces(input);
    if (pieces.empty()) return to_bytes(input);
    for (std::size_t changes = 1 + below(random, 3); changes > 0 && !pieces.empty(); --changes) {
        const std::size_t at = below(random, pieces.size());
        const auto place = pieces.begin() + static_cast<std::ptrdiff_t>(at);
        switch (below(random, 8)) {
            case 0:
                pieces.erase(place);
                break;
            case 1: {
                const Bytes again = *place;
                pieces.insert(pieces.begin() + static_cast<std::ptrdiff_t>(below(random, pieces.size() + 1)), again);
                break;
            }
            case 2:
                std::swap(pieces[at], pieces[below(random, pieces.size())]);
                break;
            default:
                pieces[at] = inside(pieces[at], random);
                if (pieces[at].size() > 0xFFFF) pieces[at].resize(0xFFFF);
        }
    }
    return join_pieces(pieces);
}

// A few bytes changed, the length kept or not.
inline Bytes nibbled(Bytes bytes, test::SeededRandom& random) {
    for (std::size_t i = 1 + below(random, 3); i > 0 && !bytes.empty(); --i) {
        bytes[below(random, bytes.size())] = static_cast<std::uint8_t>(random.next());
    }
    if (below(random, 8) == 0) bytes.resize(below(random, bytes.size() + 1));
    return bytes;
}

}  // namespace ladderline::fuzz
