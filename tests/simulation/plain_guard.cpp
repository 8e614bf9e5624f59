// Secrets of the simulated nodes lie in common memory: the guard pages that libsodium puts around each cost a third of
// the time of a long run, and nothing here looks for them. Only `simulate` itself is linked with this.

#include <cstddef>
#include <cstdlib>

extern "C" void* sodium_malloc(std::size_t size) {
    return std::malloc(size == 0 ? 1 : size);
}

extern "C" void sodium_free(void* memory) {
    std::free(memory);
}
