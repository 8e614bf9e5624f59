#include "protocol/crypto/keys.hpp"

#include <sodium.h>

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {

SignKeys sign_keys_from_seed(ByteView seed) {
    ENSURE(seed.size() == crypto_sign_SEEDBYTES);
    SignKeys out;
    crypto_sign_seed_keypair(out.pub.data.data(), out.secret.mutable_view().data(), seed.data());
    return out;
}

SignKeys make_sign_keys(Random& random) {
    const SecretBytes seed = SecretBytes::random(crypto_sign_SEEDBYTES, random);
    return sign_keys_from_seed(seed.view());
}

Signature sign(ByteView message, const SignSecret& secret) {
    Signature out;
    crypto_sign_detached(out.data.data(), nullptr, message.data(), message.size(), secret.view().data());
    return out;
}

bool verify(ByteView message, const Signature& signature, const SignPublic& pub) {
    return crypto_sign_verify_detached(signature.data.data(), message.data(), message.size(), pub.data.data()) == 0;
}

DhKeys dh_keys_from_secret(DhSecret secret) {
    DhKeys out{{}, std::move(secret)};
    crypto_scalarmult_base(out.pub.data.data(), out.secret.view().data());
    return out;
}

DhKeys make_dh_keys(Random& random) {
    return dh_keys_from_secret(DhSecret::random(random));
}

bool diffie_hellman(DhShared& out, const DhSecret& secret, const DhPublic& pub) {
    return crypto_scalarmult(out.mutable_view().data(), secret.view().data(), pub.data.data()) == 0;
}

// The construction of crypto_box_seal, with the ephemeral key from `random` so that runs replay from a seed.
Bytes seal_box(ByteView message, const DhPublic& to, Random& random) {
    const DhKeys ephemeral = make_dh_keys(random);
    std::array<std::uint8_t, crypto_box_NONCEBYTES> nonce{};
    blake2b(nonce, {ephemeral.pub.view(), to.view()});
    Bytes out(crypto_box_SEALBYTES + message.size());
    std::copy(ephemeral.pub.data.begin(), ephemeral.pub.data.end(), out.begin());
    ENSURE(crypto_box_easy(out.data() + DhPublic::size, message.data(), message.size(), nonce.data(), to.data.data(),
                           ephemeral.secret.view().data()) == 0);
    return out;
}

Result<SecretBytes> open_box(ByteView box, const DhKeys& keys) {
    if (box.size() < crypto_box_SEALBYTES) return Error{Fault::peer, "A sealed box is too short."};
    SecretBytes out(box.size() - crypto_box_SEALBYTES);
    if (crypto_box_seal_open(out.mutable_view().data(), box.data(), box.size(), keys.pub.data.data(),
                             keys.secret.view().data()) != 0) {
        return Error{Fault::wrong_key, "A sealed box does not open with this device's key."};
    }
    return out;
}

}  // namespace ladderline::protocol
