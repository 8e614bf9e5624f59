#pragma once
// The clear preface: the first 24 bytes of a connection, sent by the initiator before its first handshake message.
//
//   offset  bytes  what
//   0       6      "LADDER"
//   6       1      wire version, now 1
//   7       1      pattern: 1 ik, 2 xx, 3 xx_psk0
//   8       16     invite id: not zero for xx_psk0, all zero otherwise
//
// Whatever is agreed before a handshake must be mixed into it (Noise revision 34, section 14), so the whole preface is
// part of the prologue: a changed bit makes the handshake fail.

#include "protocol/base/bytes.hpp"

namespace ladderline::protocol {

inline constexpr std::size_t preface_bytes = 24;
inline constexpr std::uint8_t wire_version = 1;

enum class WirePattern : std::uint8_t {
    ik = 1,       // the responder's key is known
    xx = 2,       // first contact; compared by check words afterwards
    xx_psk0 = 3,  // first contact with an invite: nothing is told to a caller who does not hold it
};

struct InviteIdTag;
using InviteId = FixedBytes<InviteIdTag, 16>;

struct Preface {
    WirePattern pattern = WirePattern::ik;
    InviteId invite;
    bool operator==(const Preface&) const = default;
};

// Precondition: the id is zero exactly when the pattern is not xx_psk0.
Bytes write_preface(const Preface& preface);
// Precondition: bytes.size() == preface_bytes. `unsupported` for another version; Fault::peer for anything else wrong.
Result<Preface> read_preface(ByteView bytes);
// Fault::peer as soon as the bytes that are here cannot begin a preface; `unsupported` as soon as the version differs.
// Lets a reader end before the rest has come. Precondition: bytes.size() <= preface_bytes.
Result<void> check_preface_start(ByteView bytes);
// The prologue of the handshake: "ladderline handshake" and the preface bytes.
Bytes handshake_prologue(const Preface& preface);
// "IK", "XX", "XXpsk0".
std::string_view noise_name(WirePattern pattern);

}  // namespace ladderline::protocol
