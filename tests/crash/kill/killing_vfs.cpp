#include "tests/crash/kill/killing_vfs.hpp"

#include <sqlite3.h>

#include <csignal>

#include "protocol/base/ensure.hpp"

namespace ladderline::test {
namespace {

std::int64_t fatal_call = 0;
std::int64_t calls = 0;
sqlite3_vfs* below = nullptr;

struct Handle {
    sqlite3_file head;
    sqlite3_file* real;  // lies behind this in the same memory
};

sqlite3_file* real_of(sqlite3_file* file) {
    return reinterpret_cast<Handle*>(file)->real;
}

bool is_fatal() {
    return ++calls == fatal_call;
}

// What the call does is done, or not: by the parity of its number.
template <class Call>
int with_end(Call call) {
    if (!is_fatal()) return call();
    if (fatal_call % 2 == 0) static_cast<void>(call());
    std::raise(SIGKILL);
    return SQLITE_IOERR;
}

int write(sqlite3_file* file, const void* bytes, int size, sqlite3_int64 offset) {
    sqlite3_file* real = real_of(file);
    if (is_fatal()) {
        const int part = static_cast<int>(static_cast<std::int64_t>(size) * (fatal_call % 5) / 4);
        if (part > 0) real->pMethods->xWrite(real, bytes, part, offset);
        std::raise(SIGKILL);
    }
    return real->pMethods->xWrite(real, bytes, size, offset);
}

const sqlite3_io_methods methods{
    1,
    [](sqlite3_file* file) { return real_of(file)->pMethods->xClose(real_of(file)); },
    [](sqlite3_file* file, void* out, int size, sqlite3_int64 offset) {
        return real_of(file)->pMethods->xRead(real_of(file), out, size, offset);
    },
    write,
    [](sqlite3_file* file, sqlite3_int64 size) {
        return with_end([&] { return real_of(file)->pMethods->xTruncate(real_of(file), size); });
    },
    [](sqlite3_file* file, int flags) {
        return with_end([&] { return real_of(file)->pMethods->xSync(real_of(file), flags); });
    },
    [](sqlite3_file* file, sqlite3_int64* out) { return real_of(file)->pMethods->xFileSize(real_of(file), out); },
    [](sqlite3_file* file, int level) { return real_of(file)->pMethods->xLock(real_of(file), level); },
    [](sqlite3_file* file, int level) { return real_of(file)->pMethods->xUnlock(real_of(file), level); },
    [](sqlite3_file* file, int* out) { return real_of(file)->pMethods->xCheckReservedLock(real_of(file), out); },
    [](sqlite3_file* file, int operation, void* argument) {
        return real_of(file)->pMethods->xFileControl(real_of(file), operation, argument);
    },
    [](sqlite3_file* file) { return real_of(file)->pMethods->xSectorSize(real_of(file)); },
    [](sqlite3_file* file) { return real_of(file)->pMethods->xDeviceCharacteristics(real_of(file)); },
    nullptr,
    nullptr,
    nullptr,
    nullptr,
    nullptr,
    nullptr};

int open(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* flags_out) {
    auto* handle = reinterpret_cast<Handle*>(file);
    handle->real = reinterpret_cast<sqlite3_file*>(handle + 1);
    const int code = below->xOpen(below, name, handle->real, flags, flags_out);
    file->pMethods = code == SQLITE_OK ? &methods : nullptr;
    return code;
}

}  // namespace

void kill_at_call(std::int64_t at) {
    fatal_call = at;
    calls = 0;
    below = sqlite3_vfs_find(nullptr);
    ENSURE(below != nullptr);
    static sqlite3_vfs vfs;
    vfs = *below;
    vfs.iVersion = 1;
    vfs.szOsFile = static_cast<int>(sizeof(Handle)) + below->szOsFile;
    vfs.zName = killing_vfs;
    vfs.pNext = nullptr;
    vfs.xOpen = open;
    // The others are the system's, which ask nothing of `vfs` but the limits copied above.
    vfs.xDelete = [](sqlite3_vfs*, const char* name, int sync_folder) {
        return with_end([&] { return below->xDelete(below, name, sync_folder); });
    };
    ENSURE(sqlite3_vfs_register(&vfs, 0) == SQLITE_OK);
}

}  // namespace ladderline::test
