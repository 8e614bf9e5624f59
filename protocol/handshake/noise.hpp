#pragma once
// One Noise handshake (revision 34, section 5.3), bytes in and bytes out. Suite 25519_ChaChaPoly_SHA256;
// BLAKE2b in place of SHA256 only for published vectors. Framing, deadlines and the preface are connection.hpp's.

#include "protocol/crypto/keys.hpp"
#include "protocol/handshake/noise_pattern.hpp"
#include "protocol/handshake/symmetric_state.hpp"

namespace ladderline::protocol {

inline constexpr std::size_t noise_message_bytes_max = 65535;  // section 3, tag included

enum class Role : std::uint8_t { initiator, responder };

// 256 bits of entropy (section 14): never derived from something spoken or typed.
struct PskTag;
using Psk = Secret<PskTag, 32>;

struct HandshakeHashTag;
using HandshakeHash = FixedBytes<HandshakeHashTag, 32>;

// What the pattern needs must be there: a missing key or psk is a bug of ours (ENSURE).
struct NoiseSetup {
    NoisePattern pattern;
    Role role = Role::initiator;
    Bytes prologue;
    std::optional<DhKeys> local_static;
    std::optional<DhPublic> remote_static;
    std::vector<Psk> psks;  // one for each psk token, in order
    NoiseHash hash = NoiseHash::sha256;
};

struct TransportCiphers {
    CipherState send;
    CipherState receive;
};

class NoiseHandshake {
public:
    // `random` gives 32 bytes for the ephemeral key when its message is written; it must outlive the handshake.
    NoiseHandshake(NoiseSetup setup, Random& random);

    // True if the next call must be write_message; meaningless once finished.
    bool my_turn() const;
    // Length of the next message (either direction) with an empty payload: 32 a bare key, 48 a sealed one, 16 a tag.
    std::size_t next_message_bytes_min() const;
    // Precondition: my_turn(), not finished. `refused` if the payload does not fit noise_message_bytes_max;
    // Fault::peer if the other side's key gives an all-zero secret. After any error the handshake is dead.
    Result<Bytes> write_message(ByteView payload);
    // The payload. Precondition: not my_turn(), not finished. Fault::peer for anything wrong; then the handshake is
    // dead and nothing of the message is kept.
    Result<Bytes> read_message(ByteView message);

    bool finished() const { return !failed_ && next_message_ == setup_.pattern.messages.size(); }
    bool failed() const { return failed_; }
    bool remote_static_known() const { return setup_.remote_static.has_value(); }
    // Precondition: remote_static_known().
    const DhPublic& remote_static() const;
    // 32 bytes (64 with BLAKE2b); binds whatever is said later to this very handshake. Precondition: finished().
    Bytes handshake_hash() const;
    // Once, when finished(). Keys of the handshake are wiped; handshake_hash() and remote_static() stay.
    TransportCiphers split();

private:
    void mix_pre_messages();
    Result<void> write_token(NoiseToken token, Bytes& out);
    Result<void> read_token(NoiseToken token, ByteView& rest);
    Result<void> mix_dh(NoiseToken token);
    void mix_psk();
    Result<Bytes> write_tokens(ByteView payload);
    Result<Bytes> read_tokens(ByteView message);

    NoiseSetup setup_;
    Random* random_;
    SymmetricState symmetric_;
    std::optional<DhKeys> local_ephemeral_;
    std::optional<DhPublic> remote_ephemeral_;
    std::size_t next_message_ = 0;
    std::size_t next_psk_ = 0;
    bool failed_ = false;
    bool split_ = false;
};

}  // namespace ladderline::protocol
