#pragma once
// One byte string per value: what decodes encodes to the very bytes it came from.

#include "protocol/codec/archive.hpp"
#include "tests/fuzz/engine/door.hpp"
#include "tests/support/protocol/random_value.hpp"

namespace ladderline::fuzz {

inline void demand_same(ByteView input, const Bytes& again) {
    demand(std::equal(input.begin(), input.end(), again.begin(), again.end()),
           "what decodes encodes to the same bytes");
}

template <class T>
void demand_codec(ByteView input) {
    const Result<T> value = protocol::codec::decode<T>(input);
    if (value) {
        demand_same(input, protocol::codec::encode(value.value()));
    } else {
        demand(value.error().fault() == Fault::peer, "bytes that cannot be read are the peer's fault");
        demand_sentence(value.error().sentence());
    }
}

// Picks one of several types by the first byte.
template <class... T>
void demand_codec_of(ByteView input) {
    if (input.empty()) return;
    const std::size_t which = input[0] % sizeof...(T);
    std::size_t at = 0;
    ((at++ == which ? demand_codec<T>(input.subspan(1)) : void()), ...);
}

template <class... T>
std::vector<Seed> codec_seeds(std::size_t each) {
    test::SeededRandom random(1);
    std::vector<Seed> out;
    std::uint8_t which = 0;
    const auto add = [&](Bytes bytes) {
        bytes.insert(bytes.begin(), which);
        out.push_back({"type_" + std::to_string(which) + "_" + std::to_string(out.size() % each), std::move(bytes)});
    };
    const auto add_type = [&](auto make) {
        for (std::size_t i = 0; i < each; ++i) add(make());
        ++which;
    };
    (add_type([&] { return protocol::codec::encode(test::random_value<T>(random)); }), ...);
    return out;
}

}  // namespace ladderline::fuzz
