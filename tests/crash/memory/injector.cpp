#include "tests/crash/memory/injector.hpp"

#include <dlfcn.h>
#include <sqlite3.h>

#include <cstdlib>
#include <new>

#include "protocol/base/ensure.hpp"
#include "tests/support/store/no_failures.hpp"

namespace ladderline::test {
namespace {

thread_local bool armed = false;
thread_local bool goes_on = false;
thread_local std::int64_t fails_at = 0;
thread_local std::int64_t count = 0;
FailedAllocations failed;

bool fails(std::int64_t& of_this_kind) {
    if (!armed || NoFailures::depth > 0) return false;
    ++count;
    const bool now = count == fails_at || (goes_on && fails_at > 0 && count > fails_at);
    of_this_kind += now ? 1 : 0;
    return now;
}

sqlite3_mem_methods below;

void* sqlite_malloc(int size) {
    return fails(failed.sqlite) ? nullptr : below.xMalloc(size);
}
void* sqlite_realloc(void* memory, int size) {
    return fails(failed.sqlite) ? nullptr : below.xRealloc(memory, size);
}

// Before main(): once SQLite has begun, its allocator stands.
const bool in_place = [] {
    ENSURE(sqlite3_config(SQLITE_CONFIG_GETMALLOC, &below) == SQLITE_OK);
    sqlite3_mem_methods ours = below;
    ours.xMalloc = sqlite_malloc;
    ours.xRealloc = sqlite_realloc;
    ENSURE(sqlite3_config(SQLITE_CONFIG_MALLOC, &ours) == SQLITE_OK);
    // Its reserve of small pieces would answer without asking us.
    ENSURE(sqlite3_config(SQLITE_CONFIG_LOOKASIDE, 0, 0) == SQLITE_OK);
    return true;
}();

}  // namespace

void fail_allocation(std::int64_t at, bool lasting) {
    ENSURE(in_place);
    fails_at = at;
    goes_on = lasting;
    count = 0;
    armed = true;
}

void stop_failing() {
    armed = false;
}

std::int64_t allocations() {
    return count;
}

FailedAllocations failed_allocations() {
    return failed;
}

}  // namespace ladderline::test

using ladderline::test::failed;
using ladderline::test::fails;

void* operator new(std::size_t size) {
    void* memory = fails(failed.plain) ? nullptr : std::malloc(size == 0 ? 1 : size);
    if (memory == nullptr) throw std::bad_alloc();
    return memory;
}
void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
    return fails(failed.plain) ? nullptr : std::malloc(size == 0 ? 1 : size);
}
void operator delete(void* memory) noexcept {
    std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
    std::free(memory);
}
void operator delete(void* memory, const std::nothrow_t&) noexcept {
    std::free(memory);
}

// In the place of libsodium's, which it calls.
extern "C" void* sodium_malloc(const size_t size) {
    static const auto real = reinterpret_cast<void* (*)(size_t)>(dlsym(RTLD_NEXT, "sodium_malloc"));
    return fails(failed.guarded) ? nullptr : real(size);
}
