#pragma once
// Identifiers that two peers must agree on.

#include "protocol/crypto/keys.hpp"

namespace ladderline::protocol {

struct CircleIdTag;
struct LogIdTag;
struct EventIdTag;
struct KeyIdTag;
struct BodyHashTag;
struct EventSaltTag;
struct LogSaltTag;
struct MembersDigestTag;
struct WrapRootTag;

using CircleId = FixedBytes<CircleIdTag, 32>;   // id of the circle's founding event
using LogId = FixedBytes<LogIdTag, 16>;         // hash of circle, device and a salt: one log a device and incarnation
using EventId = FixedBytes<EventIdTag, 32>;     // hash of the header
using KeyId = FixedBytes<KeyIdTag, 16>;         // hash of a circle's epoch key
using BodyHash = FixedBytes<BodyHashTag, 32>;   // hash of the sealed body
using EventSalt = FixedBytes<EventSaltTag, 8>;  // fresh randomness in the body's nonce
using LogSalt = FixedBytes<LogSaltTag, 16>;     // tells two incarnations of one device apart
using MembersDigest = FixedBytes<MembersDigestTag, 32>;  // hash of the members who get an epoch key
using WrapRoot = FixedBytes<WrapRootTag, 32>;            // top of the hash tree over an epoch key's wrapped copies

// A member is their identity key; a device is its signing key. Two roles, two types.
struct MemberIdTag;
struct DeviceIdTag;
using MemberId = FixedBytes<MemberIdTag, 32>;
using DeviceId = FixedBytes<DeviceIdTag, 32>;

inline SignPublic signing_key(const MemberId& member) {
    return SignPublic{member.data};
}
inline SignPublic signing_key(const DeviceId& device) {
    return SignPublic{device.data};
}

}  // namespace ladderline::protocol
