#pragma once
// Secrets: guarded memory (locked, canaries, wiped on release), move-only, compared in constant time.

#include <cstddef>
#include <utility>

#include "protocol/base/bytes.hpp"
#include "protocol/base/random.hpp"

namespace ladderline::protocol {

// Call once before anything else of protocol/crypto; safe to repeat.
void init_crypto();

class SecretBytes {
public:
    SecretBytes() = default;
    // std::bad_alloc if the system has no guarded memory left.
    explicit SecretBytes(std::size_t size);
    SecretBytes(SecretBytes&& other) noexcept;
    SecretBytes& operator=(SecretBytes&& other) noexcept;
    SecretBytes(const SecretBytes&) = delete;
    SecretBytes& operator=(const SecretBytes&) = delete;
    ~SecretBytes();

    static SecretBytes copy_of(ByteView bytes);
    static SecretBytes random(std::size_t size, Random& random);

    std::size_t size() const { return size_; }
    bool empty() const { return size_ == 0; }
    ByteView view() const { return {data_, size_}; }
    MutableByteView mutable_view() { return {data_, size_}; }
    SecretBytes clone() const { return copy_of(view()); }

private:
    std::uint8_t* data_ = nullptr;
    std::size_t size_ = 0;
};

// Constant time for equal lengths; false at once for different lengths.
bool equal_secret(ByteView a, ByteView b);
// Overwrites ordinary memory that held a secret.
void wipe(MutableByteView bytes);

// A secret of N bytes with a meaning of its own.
template <class Tag, std::size_t N>
class Secret {
public:
    static constexpr std::size_t size = N;
    Secret() : bytes_(N) {}
    static Secret copy_of(ByteView bytes) {
        ENSURE(bytes.size() == N);
        Secret out;
        std::copy(bytes.begin(), bytes.end(), out.bytes_.mutable_view().begin());
        return out;
    }
    static Secret random(Random& random) {
        Secret out;
        random.fill(out.bytes_.mutable_view());
        return out;
    }
    ByteView view() const { return bytes_.view(); }
    MutableByteView mutable_view() { return bytes_.mutable_view(); }
    Secret clone() const { return copy_of(view()); }

private:
    SecretBytes bytes_;
};

}  // namespace ladderline::protocol
