#pragma once
// Key types and the operations on them: Ed25519 signatures (RFC 8032), X25519 (RFC 7748), sealed boxes.
// One key, one use: a signing key is never turned into a Noise key.

#include "protocol/crypto/secret.hpp"

namespace ladderline::protocol {

struct SignPublicTag;
struct SignSecretTag;
struct SignatureTag;
struct DhPublicTag;
struct DhSecretTag;
struct DhSharedTag;
using SignPublic = FixedBytes<SignPublicTag, 32>;
using SignSecret = Secret<SignSecretTag, 64>;  // libsodium's form: seed and public key
using Signature = FixedBytes<SignatureTag, 64>;
using DhPublic = FixedBytes<DhPublicTag, 32>;
using DhSecret = Secret<DhSecretTag, 32>;
using DhShared = Secret<DhSharedTag, 32>;

struct SignKeys {
    SignPublic pub;
    SignSecret secret;
};
SignKeys make_sign_keys(Random& random);
// `seed`: 32 bytes.
SignKeys sign_keys_from_seed(ByteView seed);
Signature sign(ByteView message, const SignSecret& secret);
bool verify(ByteView message, const Signature& signature, const SignPublic& pub);

struct DhKeys {
    DhPublic pub;
    DhSecret secret;
};
DhKeys make_dh_keys(Random& random);
DhKeys dh_keys_from_secret(DhSecret secret);
// False if the result is all zeros (a point of small order): the caller must end the exchange.
[[nodiscard]] bool diffie_hellman(DhShared& out, const DhSecret& secret, const DhPublic& pub);

// Anonymous box to one X25519 key, 48 bytes longer than the message; opened with both halves of the key.
Bytes seal_box(ByteView message, const DhPublic& to, Random& random);
Result<SecretBytes> open_box(ByteView box, const DhKeys& keys);

}  // namespace ladderline::protocol
