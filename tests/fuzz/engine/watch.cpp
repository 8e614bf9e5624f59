#include "tests/fuzz/engine/watch.hpp"

#include <malloc.h>

#include <cstdio>
#include <cstdlib>
#include <new>

namespace ladderline::fuzz {
namespace {

struct Count {
    bool on = false;
    std::size_t live = 0;  // wraps if the door frees what it did not take; compared as a difference only
    std::size_t work = 0;
    std::size_t live_max = 0;
    std::size_t work_max = 0;
};
Count count;

[[noreturn]] void stop(const char* sentence) {
    count.on = false;
    std::fprintf(stderr, "DEMAND: %s\n", sentence);
    std::abort();
}

void* take(std::size_t size) {
    if (count.on) {
        count.live += size;
        count.work += size + 32;
        // A breach is told before the memory is touched.
        if (count.live > count.live_max && count.live < SIZE_MAX / 2) stop("more memory than the door may take");
        if (count.work > count.work_max) stop("more work than the door may do");
        count.live -= size;
    }
    void* out = std::malloc(size == 0 ? 1 : size);
    if (out == nullptr) throw std::bad_alloc();
    if (count.on) count.live += malloc_usable_size(out);
    return out;
}

void give_back(void* pointer) {
    if (count.on && pointer != nullptr) count.live -= malloc_usable_size(pointer);
    std::free(pointer);
}

// Bytes that were taken and not given back.
std::size_t kept_by(const Door& door, ByteView input) {
    count = {};
    count.live_max = door.bounds.memory_bytes + door.bounds.memory_per_input_byte * input.size();
    count.work_max = door.bounds.work + door.bounds.work_per_input_byte * input.size();
    count.on = true;
    door.knock(input);
    count.on = false;
    return count.live;
}

}  // namespace

void demand(bool holds, std::string_view sentence) {
    if (!holds) stop(std::string(sentence).c_str());
}

void demand_sentence(std::string_view text) {
    constexpr std::size_t characters_max = 600;
    demand(!text.empty() && (text.back() == '.' || text.back() == '?' || text.back() == '!'), "an error is a sentence");
    demand(text.find('\n') == std::string_view::npos && text.find('\0') == std::string_view::npos, "on one line");
    demand(text.size() <= characters_max, "an error is not longer than a screen shows");
    demand(is_utf8(text), "an error is text");
}

void knock_watched(const Door& door, ByteView input) {
    // What is made once and kept for good is made at the first knock.
    if (kept_by(door, input) != 0 && kept_by(door, input) != 0) stop("memory that was taken and not given back");
}

}  // namespace ladderline::fuzz

void* operator new(std::size_t size) {
    return ladderline::fuzz::take(size);
}
void* operator new[](std::size_t size) {
    return ladderline::fuzz::take(size);
}
void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
    return ladderline::fuzz::take(size);
}
void* operator new[](std::size_t size, const std::nothrow_t&) noexcept {
    return ladderline::fuzz::take(size);
}
void operator delete(void* pointer) noexcept {
    ladderline::fuzz::give_back(pointer);
}
void operator delete[](void* pointer) noexcept {
    ladderline::fuzz::give_back(pointer);
}
void operator delete(void* pointer, std::size_t) noexcept {
    ladderline::fuzz::give_back(pointer);
}
void operator delete[](void* pointer, std::size_t) noexcept {
    ladderline::fuzz::give_back(pointer);
}
