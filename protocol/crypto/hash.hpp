#pragma once
// BLAKE2b (RFC 7693) with the output length chosen by the result type, and SHA-256 for Noise.

#include <initializer_list>
#include <memory>

#include "protocol/base/bytes.hpp"

namespace ladderline::protocol {

// BLAKE2b over the parts in order, without separators: give fixed-length parts, or lengths of your own.
// `out.size()` is 16 to 64 bytes; `key` is empty or 16 to 64 bytes (keyed mode).
void blake2b(MutableByteView out, std::initializer_list<ByteView> parts, ByteView key = {});

// Fixed = a FixedBytes type; `domain` is a literal that no two uses share.
template <class Fixed>
Fixed hash_as(std::string_view domain, std::initializer_list<ByteView> parts) {
    Fixed out;
    Bytes joined(as_bytes(domain).begin(), as_bytes(domain).end());
    joined.push_back(0);
    for (const ByteView part : parts) joined.insert(joined.end(), part.begin(), part.end());
    blake2b(out.mutable_view(), {ByteView(joined)});
    return out;
}

struct Sha256Tag;
using Sha256 = FixedBytes<Sha256Tag, 32>;
Sha256 sha256(std::initializer_list<ByteView> parts);
// HMAC-SHA256 (RFC 2104); any key length.
Sha256 hmac_sha256(ByteView key, std::initializer_list<ByteView> parts);

}  // namespace ladderline::protocol
