#pragma once
// The system's disk with little room for one file of SQLite's.

#include <sqlite3.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <filesystem>
#include <string>

#include "protocol/base/result.hpp"

namespace ladderline::test {

// As long as one lives (one at a time), SQLite's writes behind `room` bytes of a file whose name ends so meet a full
// disk. Small files and copies do not go through SQLite, and have room.
class ScantDisk {
public:
    ScantDisk(std::string ending, off_t room) {
        scant() = {std::move(ending), room, 0};
        set(reinterpret_cast<sqlite3_syscall_ptr>(write_on), reinterpret_cast<sqlite3_syscall_ptr>(write_at));
    }
    ScantDisk(const ScantDisk&) = delete;
    ScantDisk& operator=(const ScantDisk&) = delete;
    ~ScantDisk() { set(nullptr, nullptr); }

    int refused() const { return scant().refused; }

private:
    struct Scant {
        std::string ending;
        off_t room = 0;
        int refused = 0;
    };
    static Scant& scant() {
        static Scant one;
        return one;
    }
    // Null: the system's own again.
    static void set(sqlite3_syscall_ptr on, sqlite3_syscall_ptr at) {
        sqlite3_vfs* vfs = sqlite3_vfs_find(nullptr);
        ENSURE(vfs->xSetSystemCall(vfs, "write", on) == SQLITE_OK);
        for (const char* name : {"pwrite", "pwrite64"}) ENSURE(vfs->xSetSystemCall(vfs, name, at) == SQLITE_OK);
    }
    static bool refuses(int file, std::size_t size, off_t offset) {
        std::error_code ignored;
        const auto path = std::filesystem::read_symlink("/proc/self/fd/" + std::to_string(file), ignored);
        if (!path.string().ends_with(scant().ending)) return false;
        if (offset + static_cast<off_t>(size) <= scant().room) return false;
        ++scant().refused;
        errno = ENOSPC;
        return true;
    }
    static ssize_t write_on(int file, const void* bytes, std::size_t size) {
        return refuses(file, size, ::lseek(file, 0, SEEK_CUR)) ? -1 : ::write(file, bytes, size);
    }
    static ssize_t write_at(int file, const void* bytes, std::size_t size, off_t offset) {
        return refuses(file, size, offset) ? -1 : ::pwrite(file, bytes, size, offset);
    }
};

}  // namespace ladderline::test
