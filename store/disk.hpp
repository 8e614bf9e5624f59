#pragma once
// The one door to small files (SQLite has its own, below the vault). Tests pass a twin in memory that can fail.

#include <filesystem>
#include <string>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "protocol/base/result.hpp"

namespace ladderline::store {

// Errors: disk, with a sentence that names the path; not_found where said.
class Disk {
public:
    virtual ~Disk() = default;

    virtual Result<bool> exists(const std::filesystem::path& path) = 0;
    // The whole file; not_found if it is not there.
    virtual Result<Bytes> read(const std::filesystem::path& path) = 0;
    // The file is the old one or the new one, whole, whatever happens; on success the new one is on the disk.
    // New files are readable by their owner only.
    virtual Result<void> write_atomically(const std::filesystem::path& path, ByteView bytes) = 0;
    // Writes over `bytes.size()` bytes at `offset`, making the file if it is not there; bytes between its end and the
    // offset become zeros. In place: after a power cut any part of these bytes may be old or new. `flush`: on success
    // they are on the disk.
    virtual Result<void> patch(const std::filesystem::path& path, std::size_t offset, ByteView bytes, bool flush) = 0;
    // Succeeds also if nothing is there.
    virtual Result<void> remove(const std::filesystem::path& path) = 0;
    // Names (not paths) of the files in a folder, sorted; folders are left out. not_found if it is not there.
    virtual Result<std::vector<std::string>> list(const std::filesystem::path& folder) = 0;
    // With the folders above it; mode 0700 for those it makes. Succeeds also if it is there.
    virtual Result<void> make_folder(const std::filesystem::path& folder) = 0;
};

// The system's file system.
class RealDisk : public Disk {
public:
    Result<bool> exists(const std::filesystem::path& path) override;
    Result<Bytes> read(const std::filesystem::path& path) override;
    // temporary file, fsync, rename, fsync of the folder
    Result<void> write_atomically(const std::filesystem::path& path, ByteView bytes) override;
    Result<void> patch(const std::filesystem::path& path, std::size_t offset, ByteView bytes, bool flush) override;
    Result<void> remove(const std::filesystem::path& path) override;
    Result<std::vector<std::string>> list(const std::filesystem::path& folder) override;
    Result<void> make_folder(const std::filesystem::path& folder) override;
};

}  // namespace ladderline::store
