#include "protocol/sync/root.hpp"

#include "protocol/codec/archive.hpp"
#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {

Root root_of(const CircleId& circle, const std::vector<LogHead>& heads) {
    codec::Writer ar;
    ar.put_varint(heads.size());
    for (const LogHead& head : heads) ar(head);
    const Bytes listed = ar.take();
    return hash_as<Root>("ladderline root 1", {circle.view(), listed});
}

}  // namespace ladderline::protocol
