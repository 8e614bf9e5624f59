#pragma once
// One open file of the VFS below the vault (the system's, or a test's in-memory one). Results are SQLite's codes.

#include <sqlite3.h>

#include <memory>
#include <string>

#include "protocol/base/bytes.hpp"

namespace ladderline::store::vault {

// Move-only; closed on destruction.
class BaseFile {
public:
    // `name` must have come from SQLite, or be a full path followed by two zero bytes and outlive the file.
    // On failure `code` is not SQLITE_OK and the object is closed.
    static BaseFile open(sqlite3_vfs* vfs, const char* name, int flags, int* flags_out, int& code);
    // By full path, for our own use beside SQLite. Errors as sqlite/error.hpp.
    static Result<BaseFile> open_path(sqlite3_vfs* vfs, const std::string& path, int flags);

    BaseFile(BaseFile&&) noexcept = default;
    BaseFile& operator=(BaseFile&&) = delete;
    ~BaseFile();

    // Fills `out`; SQLITE_IOERR_SHORT_READ with the rest zeroed past the end.
    int read(std::int64_t offset, MutableByteView out);
    int write(std::int64_t offset, ByteView bytes);
    int truncate(std::int64_t size);
    int sync(int flags);
    // `out` is left as it was on failure.
    int size(std::int64_t& out);

    sqlite3_file* raw() const { return reinterpret_cast<sqlite3_file*>(memory_.get()); }

private:
    using Name = std::unique_ptr<const char, void (*)(sqlite3_filename)>;

    BaseFile() = default;

    // With the zero bytes around it that a VFS may look for; empty if SQLite gave the name.
    Name name_{nullptr, sqlite3_free_filename};
    // sqlite3_file with whatever the VFS below puts behind it.
    std::unique_ptr<std::max_align_t[]> memory_;
};

}  // namespace ladderline::store::vault
