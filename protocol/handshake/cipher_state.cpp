#include "protocol/handshake/cipher_state.hpp"

#include <limits>

namespace ladderline::protocol {
namespace {

constexpr std::size_t key_bytes = 32;
constexpr std::uint64_t rekey_counter = std::numeric_limits<std::uint64_t>::max();

}  // namespace

CipherState::CipherState(ByteView key) {
    set_key(key);
}

void CipherState::set_key(ByteView key) {
    ENSURE(key.size() == key_bytes);
    key_ = SecretBytes::copy_of(key);
    counter_ = 0;
}

void CipherState::skip_to(std::uint64_t counter) {
    ENSURE(counter >= counter_);
    counter_ = counter;
}

Result<Bytes> CipherState::encrypt(ByteView associated, ByteView plain) {
    if (!has_key()) return to_bytes(plain);
    if (counter_ == rekey_counter) {
        return Error{Fault::refused, "This connection has carried all the messages it can; connect again."};
    }
    return noise_seal(key_.view(), counter_++, associated, plain);
}

Result<Bytes> CipherState::decrypt(ByteView associated, ByteView sealed) {
    if (!has_key()) return to_bytes(sealed);
    if (counter_ == rekey_counter) {
        return Error{Fault::peer, "The other side sent more messages than one connection can carry; connect again."};
    }
    auto plain = noise_open(key_.view(), counter_, associated, sealed);
    if (!plain) {
        return Error{Fault::peer,
                     "An encrypted message does not open: another key was used, or it was changed on the way."};
    }
    ++counter_;
    return plain;
}

void CipherState::rekey() {
    ENSURE(has_key());
    const std::array<std::uint8_t, key_bytes> zeros{};
    Bytes sealed = noise_seal(key_.view(), rekey_counter, {}, zeros);
    std::copy_n(sealed.begin(), key_bytes, key_.mutable_view().begin());
    wipe(sealed);
}

}  // namespace ladderline::protocol
