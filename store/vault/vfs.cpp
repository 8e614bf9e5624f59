#include "store/vault/vfs.hpp"

#include <new>
#include <utility>

#include "store/vault/main_file.hpp"
#include "store/vault/wal_file.hpp"

namespace ladderline::store::vault {
namespace {

// What SQLite allocates for a file of ours.
struct OpenFile {
    sqlite3_file head;
    SealedFile* sealed;
};

SealedFile& sealed_of(sqlite3_file* file) {
    return *reinterpret_cast<OpenFile*>(file)->sealed;
}

sqlite3_file* below_of(sqlite3_file* file) {
    return sealed_of(file).base().raw();
}

// C++ exceptions (there is only bad_alloc) stop here.
template <class Fn>
int guarded(Fn&& fn) noexcept {
    try {
        return fn();
    } catch (const std::bad_alloc&) {
        return SQLITE_IOERR_NOMEM;
    }
}

int file_close(sqlite3_file* file) {
    delete std::exchange(reinterpret_cast<OpenFile*>(file)->sealed, nullptr);
    file->pMethods = nullptr;
    return SQLITE_OK;
}

int file_read(sqlite3_file* file, void* out, int size, sqlite3_int64 offset) {
    return guarded([&] {
        return sealed_of(file).read(offset, {static_cast<std::uint8_t*>(out), static_cast<std::size_t>(size)});
    });
}

int file_write(sqlite3_file* file, const void* bytes, int size, sqlite3_int64 offset) {
    return guarded([&] {
        return sealed_of(file).write(offset, {static_cast<const std::uint8_t*>(bytes), static_cast<std::size_t>(size)});
    });
}

int file_truncate(sqlite3_file* file, sqlite3_int64 size) {
    return guarded([&] { return sealed_of(file).truncate(size); });
}

int file_sync(sqlite3_file* file, int flags) {
    return guarded([&] { return sealed_of(file).sync(flags); });
}

int file_size(sqlite3_file* file, sqlite3_int64* out) {
    return guarded([&] {
        std::int64_t size = 0;
        const int code = sealed_of(file).size(size);
        *out = size;
        return code;
    });
}

int file_lock(sqlite3_file* file, int level) {
    return below_of(file)->pMethods->xLock(below_of(file), level);
}
int file_unlock(sqlite3_file* file, int level) {
    return below_of(file)->pMethods->xUnlock(below_of(file), level);
}
int file_check_lock(sqlite3_file* file, int* out) {
    return below_of(file)->pMethods->xCheckReservedLock(below_of(file), out);
}

// Hints about sizes would let the VFS below make holes; everything else that is passed on only asks about the file.
int file_control(sqlite3_file* file, int operation, void* argument) {
    switch (operation) {
        case SQLITE_FCNTL_SIZE_HINT:
        case SQLITE_FCNTL_CHUNK_SIZE:
            return SQLITE_OK;
        case SQLITE_FCNTL_CKPT_START:
        case SQLITE_FCNTL_CKPT_DONE:
            sealed_of(file).checkpoint(operation == SQLITE_FCNTL_CKPT_START);
            return SQLITE_OK;
        case SQLITE_FCNTL_LOCKSTATE:
        case SQLITE_FCNTL_LAST_ERRNO:
        case SQLITE_FCNTL_HAS_MOVED:
        case SQLITE_FCNTL_PERSIST_WAL:
        case SQLITE_FCNTL_LOCK_TIMEOUT:
            return below_of(file)->pMethods->xFileControl(below_of(file), operation, argument);
        default:
            return SQLITE_NOTFOUND;
    }
}

int file_sector_size(sqlite3_file*) {
    return 512;
}

// Without POWERSAFE_OVERWRITE SQLite writes log pages in pieces, and pads commits.
int file_characteristics(sqlite3_file*) {
    return SQLITE_IOCAP_POWERSAFE_OVERWRITE;
}

// Version 1: no shared memory, no memory mapping.
const sqlite3_io_methods file_methods{
    1,           file_close,      file_read,    file_write,       file_truncate,        file_sync, file_size, file_lock,
    file_unlock, file_check_lock, file_control, file_sector_size, file_characteristics, nullptr,   nullptr,   nullptr,
    nullptr,     nullptr,         nullptr};

}  // namespace

struct VfsCalls {
    static VaultVfs& self(sqlite3_vfs* vfs) { return *static_cast<VaultVfs*>(vfs->pAppData); }
    static sqlite3_vfs* below(sqlite3_vfs* vfs) { return self(vfs).below_; }

    static int open(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* flags_out) {
        file->pMethods = nullptr;
        return guarded([&] {
            VaultVfs& vault = self(vfs);
            const bool is_main =
                (flags & SQLITE_OPEN_MAIN_DB) != 0 && name != nullptr && name == vault.file_ && !vault.main_opened_;
            const bool is_log = (flags & SQLITE_OPEN_WAL) != 0 && name != nullptr && name == vault.log_file_;
            if (!is_main && !is_log) return refuse(SQLITE_CANTOPEN);
            int code = SQLITE_OK;
            BaseFile base = BaseFile::open(vault.below_, name, flags, flags_out, code);
            if (code != SQLITE_OK) return code;
            auto* opened = reinterpret_cast<OpenFile*>(file);
            if (is_main) {
                opened->sealed = new MainFile(std::move(base), vault.keys_);
                vault.main_opened_ = true;
            } else {
                opened->sealed = new WalFile(std::move(base), vault.keys_);
            }
            file->pMethods = &file_methods;
            return SQLITE_OK;
        });
    }

    static int remove(sqlite3_vfs* vfs, const char* name, int sync_folder) {
        if (name != self(vfs).log_file_) return refuse(SQLITE_IOERR_DELETE);
        return below(vfs)->xDelete(below(vfs), name, sync_folder);
    }

    // A journal beside the store is none of ours: SQLite must not roll it back into the database.
    static int access(sqlite3_vfs* vfs, const char* name, int flags, int* out) {
        if (name != self(vfs).file_ && name != self(vfs).log_file_) {
            *out = 0;
            return SQLITE_OK;
        }
        return below(vfs)->xAccess(below(vfs), name, flags, out);
    }

    static int full_path(sqlite3_vfs* vfs, const char* name, int size, char* out) {
        return below(vfs)->xFullPathname(below(vfs), name, size, out);
    }
    static int randomness(sqlite3_vfs* vfs, int size, char* out) {
        return below(vfs)->xRandomness(below(vfs), size, out);
    }
    static int sleep(sqlite3_vfs* vfs, int microseconds) { return below(vfs)->xSleep(below(vfs), microseconds); }
    static int current_time(sqlite3_vfs* vfs, double* out) { return below(vfs)->xCurrentTime(below(vfs), out); }
    static int last_error(sqlite3_vfs* vfs, int size, char* out) {
        return below(vfs)->xGetLastError == nullptr ? 0 : below(vfs)->xGetLastError(below(vfs), size, out);
    }
};

VaultVfs::VaultVfs(sqlite3_vfs* below, std::string file, ByteView header, const protocol::AeadKey& data_key,
                   Random& random, bool to_salvage)
    : below_(below), file_(std::move(file)), log_file_(file_ + "-wal"), keys_(header, data_key, random) {
    keys_.to_salvage = to_salvage;
    static std::atomic<std::uint64_t> next_number{0};
    name_ = "ladderline-vault-" + std::to_string(next_number.fetch_add(1));
    vfs_.iVersion = 1;
    vfs_.szOsFile = sizeof(OpenFile);
    vfs_.mxPathname = below->mxPathname;
    vfs_.zName = name_.c_str();
    vfs_.pAppData = this;
    vfs_.xOpen = VfsCalls::open;
    vfs_.xDelete = VfsCalls::remove;
    vfs_.xAccess = VfsCalls::access;
    vfs_.xFullPathname = VfsCalls::full_path;
    vfs_.xRandomness = VfsCalls::randomness;
    vfs_.xSleep = VfsCalls::sleep;
    vfs_.xCurrentTime = VfsCalls::current_time;
    vfs_.xGetLastError = VfsCalls::last_error;
    ENSURE(sqlite3_vfs_register(&vfs_, 0) == SQLITE_OK);
}

}  // namespace ladderline::store::vault
