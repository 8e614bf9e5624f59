#include "store/vault/nonce_source.hpp"

#include <pthread.h>

#include <atomic>

namespace ladderline::store::vault {
namespace {

// Counts the forks between the first process and this one; asking the system for the process id costs a call per page.
std::atomic<std::uint64_t> process_number{0};

std::uint64_t current_process() {
    static const bool watched = [] {
        return pthread_atfork(nullptr, nullptr, [] { process_number.fetch_add(1); }) == 0;
    }();
    ENSURE(watched);
    return process_number.load(std::memory_order_relaxed);
}

}  // namespace

NonceSource::NonceSource(Random& random) : process_(current_process()) {
    random.fill(prefix_.mutable_view().first(16));
}

protocol::XNonce NonceSource::next() {
    ENSURE(process_number.load(std::memory_order_relaxed) == process_);
    protocol::XNonce out = prefix_;
    const std::uint64_t count = counter_++;
    for (std::size_t i = 0; i < 8; ++i) out.data[16 + i] = static_cast<std::uint8_t>(count >> (8 * i));
    return out;
}

}  // namespace ladderline::store::vault
