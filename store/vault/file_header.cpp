#include "store/vault/file_header.hpp"

#include <algorithm>
#include <system_error>

#include "store/sqlite/error.hpp"

namespace ladderline::store::vault {
namespace {

Error from_code(int code) {
    return sqlite::error_of(code, nullptr);
}

Result<void> checked(int code) {
    if (code == SQLITE_OK) return ok();
    return from_code(code);
}

Result<bool> exists(BaseVfs vfs, const std::string& path) {
    int found = 0;
    TRY(checked(vfs->xAccess(vfs, path.c_str(), SQLITE_ACCESS_EXISTS, &found)));
    return found != 0;
}

struct Found {
    std::int64_t size = 0;
    FileHeader header{};  // zeros where the file is shorter
};

Result<Found> look_at(BaseFile& file) {
    Found found;
    TRY(checked(file.size(found.size)));
    const int code = file.read(0, found.header);
    if (code != SQLITE_OK && code != SQLITE_IOERR_SHORT_READ) return from_code(code);
    return found;
}

// Nothing, or a creation cut off before the header was written.
bool never_completed(const Found& found) {
    return found.size <= static_cast<std::int64_t>(page_bytes) && all_zero(found.header);
}

Error lost_file() {
    return {Fault::damaged,
            "The store's database file is empty or gone while its log is still there; nothing was changed. Restore a "
            "backup."};
}

// Held while a new file is made, so that two programs cannot make it at once.
class CreationLock {
public:
    explicit CreationLock(BaseFile& file) : file_(file.raw()) {}
    CreationLock(const CreationLock&) = delete;
    CreationLock& operator=(const CreationLock&) = delete;
    ~CreationLock() { file_->pMethods->xUnlock(file_, SQLITE_LOCK_NONE); }

    Result<void> take() {
        for (const int level : {SQLITE_LOCK_SHARED, SQLITE_LOCK_RESERVED, SQLITE_LOCK_EXCLUSIVE}) {
            const int code = file_->pMethods->xLock(file_, level);
            if (code == SQLITE_BUSY) {
                return Error{Fault::busy, "This store is already open in another Ladderline; close that one first."};
            }
            TRY(checked(code));
        }
        return ok();
    }

private:
    sqlite3_file* file_;
};

// The header is written last and synced apart: a file that shows it is complete.
Result<void> write_empty_database(BaseFile& file, const FileHeader& header, const protocol::AeadKey& data_key,
                                  Random& random) {
    const PageCodec codec(header, data_key);
    NonceSource nonces(random);
    PlainPage sealed;
    codec.seal(1, empty_database_page(), nonces, sealed);
    std::fill_n(sealed.begin(), header_bytes, std::uint8_t{0});
    TRY(checked(file.write(0, sealed)));
    TRY(checked(file.sync(SQLITE_SYNC_NORMAL)));
    TRY(checked(file.write(0, header)));
    return checked(file.sync(SQLITE_SYNC_NORMAL));
}

Result<Found> create_file(BaseVfs vfs, const std::string& path, const protocol::AeadKey& data_key, Random& random) {
    TRY(BaseFile file,
        BaseFile::open_path(vfs, path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_MAIN_DB));
    CreationLock lock(file);
    TRY(lock.take());
    TRY(Found found, look_at(file));
    if (!never_completed(found)) return found;  // made by another program a moment ago
    found.header = make_file_header(data_key, random);
    TRY(write_empty_database(file, found.header, data_key, random));
    found.size = static_cast<std::int64_t>(page_bytes);
    return found;
}

}  // namespace

Result<BaseVfs> find_vfs(const std::string& name) {
    TRY(checked(sqlite3_initialize()));
    sqlite3_vfs* vfs = sqlite3_vfs_find(name.empty() ? nullptr : name.c_str());
    ENSURE(vfs != nullptr);
    return vfs;
}

Result<std::string> full_path(BaseVfs vfs, const std::filesystem::path& file) {
    std::string out(static_cast<std::size_t>(vfs->mxPathname) + 1, '\0');
    const int code = vfs->xFullPathname(vfs, file.c_str(), vfs->mxPathname, out.data());
    // SQLITE_OK_SYMLINK: the name went through a symbolic link, and `out` is what it leads to.
    if ((code & 0xff) != SQLITE_OK) return from_code(code);
    out.resize(out.find('\0'));
    return out;
}

Result<FileHeader> prepare_file(BaseVfs vfs, const std::string& path, const protocol::AeadKey& data_key, bool create,
                                Random& random) {
    TRY(const bool is_there, exists(vfs, path));
    Found found;
    if (is_there) {
        TRY(BaseFile file, BaseFile::open_path(vfs, path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_MAIN_DB));
        TRY(found, look_at(file));
    }
    if (never_completed(found)) {
        TRY(const bool has_log, exists(vfs, path + "-wal"));
        if (has_log) return lost_file();
        if (!create) {
            return Error{Fault::not_found,
                         "The keys of a store are here, but its database file is empty or gone; nothing was made. "
                         "Restore a backup; if the store was only just begun, 'ladderline begin' goes on with it."};
        }
        TRY(found, create_file(vfs, path, data_key, random));
    }
    TRY(check_file_header(found.header, data_key));
    if (found.size < static_cast<std::int64_t>(page_bytes)) {
        return Error{Fault::damaged,
                     "The store's database file has been cut off; nothing was changed. Restore a backup."};
    }
    return found.header;
}

}  // namespace ladderline::store::vault
