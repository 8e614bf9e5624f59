#include "protocol/handshake/preface.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::string_view magic = "LADDER";
constexpr std::size_t version_offset = magic.size();
constexpr std::size_t pattern_offset = version_offset + 1;
constexpr std::size_t invite_offset = pattern_offset + 1;
static_assert(invite_offset + InviteId::size == preface_bytes);

bool invite_fits(const Preface& preface) {
    return preface.invite.is_zero() != (preface.pattern == WirePattern::xx_psk0);
}

}  // namespace

Bytes write_preface(const Preface& preface) {
    ENSURE(invite_fits(preface));
    Bytes out = to_bytes(as_bytes(magic));
    out.push_back(wire_version);
    out.push_back(static_cast<std::uint8_t>(preface.pattern));
    out.insert(out.end(), preface.invite.data.begin(), preface.invite.data.end());
    return out;
}

Result<void> check_preface_start(ByteView bytes) {
    ENSURE(bytes.size() <= preface_bytes);
    const std::size_t magic_here = std::min(bytes.size(), magic.size());
    if (as_text(bytes.first(magic_here)) != magic.substr(0, magic_here)) {
        return Error{Fault::peer, "The other side does not speak this program's language."};
    }
    if (bytes.size() > version_offset && bytes[version_offset] != wire_version) {
        return Error{Fault::unsupported,
                     "The other side speaks another version of this program; bring both to the same version."};
    }
    if (bytes.size() > pattern_offset && (bytes[pattern_offset] < 1 || bytes[pattern_offset] > 3)) {
        return Error{Fault::peer, "The other side asked for a handshake that does not exist."};
    }
    return ok();
}

Result<Preface> read_preface(ByteView bytes) {
    ENSURE(bytes.size() == preface_bytes);
    TRY(check_preface_start(bytes));
    const Preface out{static_cast<WirePattern>(bytes[pattern_offset]), InviteId::from(bytes.subspan(invite_offset))};
    if (!invite_fits(out)) {
        return Error{Fault::peer, "The other side named an invite where none belongs, or none where one belongs."};
    }
    return out;
}

Bytes handshake_prologue(const Preface& preface) {
    Bytes out = to_bytes(as_bytes("ladderline handshake"));
    const Bytes sent = write_preface(preface);
    out.insert(out.end(), sent.begin(), sent.end());
    return out;
}

std::string_view noise_name(WirePattern pattern) {
    switch (pattern) {
        case WirePattern::ik:
            return "IK";
        case WirePattern::xx:
            return "XX";
        case WirePattern::xx_psk0:
            break;
    }
    return "XXpsk0";
}

}  // namespace ladderline::protocol
