// Secrets lie in common memory: the guard pages that libsodium puts around each cost a long run a third of its time (of
// `simulate`) or most of it (fuzzing the frames), and a sanitizer watches what lies beside common memory too. Linked by
// `simulate` and by libFuzzer's doors alone.

#include <cstddef>
#include <cstdlib>

extern "C" void* sodium_malloc(std::size_t size) {
    return std::malloc(size == 0 ? 1 : size);
}

extern "C" void sodium_free(void* memory) {
    std::free(memory);
}
