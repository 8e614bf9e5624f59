#include "protocol/crypto/secret.hpp"

#include <sodium.h>

#include <new>

namespace ladderline::protocol {

void init_crypto() {
    ENSURE(sodium_init() >= 0);
}

SecretBytes::SecretBytes(std::size_t size) : size_(size) {
    init_crypto();
    data_ = static_cast<std::uint8_t*>(sodium_malloc(size));
    if (data_ == nullptr) throw std::bad_alloc();
    sodium_memzero(data_, size);
}

SecretBytes::SecretBytes(SecretBytes&& other) noexcept
    : data_(std::exchange(other.data_, nullptr)), size_(std::exchange(other.size_, 0)) {}

SecretBytes& SecretBytes::operator=(SecretBytes&& other) noexcept {
    if (this != &other) {
        sodium_free(data_);
        data_ = std::exchange(other.data_, nullptr);
        size_ = std::exchange(other.size_, 0);
    }
    return *this;
}

SecretBytes::~SecretBytes() {
    sodium_free(data_);
}

SecretBytes SecretBytes::copy_of(ByteView bytes) {
    SecretBytes out(bytes.size());
    std::copy(bytes.begin(), bytes.end(), out.data_);
    return out;
}

SecretBytes SecretBytes::random(std::size_t size, Random& random) {
    SecretBytes out(size);
    random.fill(out.mutable_view());
    return out;
}

bool equal_secret(ByteView a, ByteView b) {
    return a.size() == b.size() && sodium_memcmp(a.data(), b.data(), a.size()) == 0;
}

void wipe(MutableByteView bytes) {
    sodium_memzero(bytes.data(), bytes.size());
}

}  // namespace ladderline::protocol
