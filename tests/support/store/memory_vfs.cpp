#include "tests/support/store/memory_vfs.hpp"

#include <algorithm>
#include <cstring>

#include "tests/support/store/no_failures.hpp"

namespace ladderline::test {

struct MemoryHandle {
    sqlite3_file head;
    MemoryVfs* vfs;
    std::shared_ptr<MemoryVfs::File>* file;
    int lock;
};

namespace {

constexpr std::size_t sector_bytes = 512;

MemoryHandle& handle_of(sqlite3_file* file) {
    return *reinterpret_cast<MemoryHandle*>(file);
}
MemoryVfs::File& file_of(sqlite3_file* file) {
    return **handle_of(file).file;
}

void play(Bytes& to, std::int64_t offset, ByteView bytes) {
    const auto at = static_cast<std::size_t>(offset);
    if (to.size() < at) to.resize(at);
    const ByteView over = bytes.first(std::min(bytes.size(), to.size() - at));
    const ByteView beyond = bytes.subspan(over.size());
    std::copy(over.begin(), over.end(), to.begin() + offset);
    to.insert(to.end(), beyond.begin(), beyond.end());
}

void play(Bytes& to, const MemoryVfs::Operation& operation) {
    if (operation.truncation) {
        to.resize(static_cast<std::size_t>(operation.offset));
    } else {
        play(to, operation.offset, operation.bytes);
    }
}

bool coin(SeededRandom& random) {
    return (random.next() & 1) != 0;
}

// Some of the sectors of one write.
void play_torn(Bytes& to, const MemoryVfs::Operation& operation, SeededRandom& random) {
    const ByteView bytes(operation.bytes);
    for (std::size_t at = 0; at < bytes.size();) {
        const auto position = static_cast<std::size_t>(operation.offset) + at;
        const std::size_t length = std::min(bytes.size() - at, sector_bytes - position % sector_bytes);
        if (coin(random)) play(to, static_cast<std::int64_t>(position), bytes.subspan(at, length));
        at += length;
    }
}

Bytes cut_off(const MemoryVfs::File& file, SeededRandom& random) {
    Bytes out = file.synced;
    // Often all or nothing of a write arrives; at times a part.
    for (const MemoryVfs::Operation& operation : file.unsynced) {
        const std::uint64_t choice = random.next() % 4;
        if (choice == 0) continue;
        if (choice == 1 && !operation.truncation) {
            play_torn(out, operation, random);
        } else {
            play(out, operation);
        }
    }
    return out;
}

}  // namespace

struct MemoryCalls {
    static MemoryVfs& self(sqlite3_vfs* vfs) { return *static_cast<MemoryVfs*>(vfs->pAppData); }
    static DiskFault fault(sqlite3_file* file, DiskCall call) { return handle_of(file).vfs->next_call(call); }
    static bool side_call_fails(sqlite3_file* file) {
        MemoryVfs& vfs = *handle_of(file).vfs;
        return vfs.counts_side_calls_ && vfs.next_call(DiskCall::look) != DiskFault::none;
    }

    static int close(sqlite3_file* file) {
        std::erase(file_of(file).handles, &handle_of(file));
        delete handle_of(file).file;
        file->pMethods = nullptr;
        return SQLITE_OK;
    }

    static int read(sqlite3_file* file, void* out, int size, sqlite3_int64 offset) {
        if (fault(file, DiskCall::look) != DiskFault::none) return SQLITE_IOERR_READ;
        const Bytes& now = file_of(file).now;
        const auto want = static_cast<std::size_t>(size);
        const auto from = std::min(static_cast<std::size_t>(offset), now.size());
        const std::size_t got = std::min(want, now.size() - from);
        if (got > 0) std::memcpy(out, now.data() + from, got);
        std::memset(static_cast<std::uint8_t*>(out) + got, 0, want - got);
        return got == want ? SQLITE_OK : SQLITE_IOERR_SHORT_READ;
    }

    static int write(sqlite3_file* file, const void* data, int size, sqlite3_int64 offset) {
        const NoFailures quiet;
        const DiskFault met = fault(file, DiskCall::change);
        const auto* bytes = static_cast<const std::uint8_t*>(data);
        if (met == DiskFault::full) return SQLITE_FULL;
        // A sector is written whole or not at all.
        const auto half =
            (offset + size / 2) / static_cast<std::int64_t>(sector_bytes) * static_cast<std::int64_t>(sector_bytes);
        const auto done = met == DiskFault::none ? std::int64_t{size} : std::max<std::int64_t>(half - offset, 0);
        MemoryVfs::Operation operation{offset, {bytes, bytes + done}, false};
        play(file_of(file).now, operation);
        file_of(file).unsynced.push_back(std::move(operation));
        return met == DiskFault::none ? SQLITE_OK : SQLITE_IOERR_WRITE;
    }

    static int truncate(sqlite3_file* file, sqlite3_int64 size) {
        const NoFailures quiet;
        if (fault(file, DiskCall::change) != DiskFault::none) return SQLITE_IOERR_TRUNCATE;
        MemoryVfs::Operation operation{size, {}, true};
        play(file_of(file).now, operation);
        file_of(file).unsynced.push_back(std::move(operation));
        return SQLITE_OK;
    }

    static int sync(sqlite3_file* file, int) {
        const NoFailures quiet;
        if (fault(file, DiskCall::sync) != DiskFault::none) return SQLITE_IOERR_FSYNC;
        MemoryVfs::File& target = file_of(file);
        for (const MemoryVfs::Operation& operation : target.unsynced) play(target.synced, operation);
        target.unsynced.clear();
        target.entry_synced = true;
        MemoryVfs& vfs = *handle_of(file).vfs;
        std::erase_if(vfs.ghosts_, [&](const auto& ghost) {
            const auto found = vfs.files_.find(ghost.first);
            return found != vfs.files_.end() && found->second.get() == &target;
        });
        return SQLITE_OK;
    }

    static int size(sqlite3_file* file, sqlite3_int64* out) {
        if (side_call_fails(file)) return SQLITE_IOERR_FSTAT;
        *out = static_cast<sqlite3_int64>(file_of(file).now.size());
        return SQLITE_OK;
    }

    static int lock(sqlite3_file* file, int level) {
        if (side_call_fails(file)) return SQLITE_IOERR_LOCK;
        MemoryHandle& own = handle_of(file);
        if (own.lock >= level) return SQLITE_OK;
        for (const MemoryHandle* other : file_of(file).handles) {
            if (other == &own) continue;
            const bool blocked = level == SQLITE_LOCK_SHARED     ? other->lock >= SQLITE_LOCK_PENDING
                                 : level == SQLITE_LOCK_RESERVED ? other->lock >= SQLITE_LOCK_RESERVED
                                                                 : other->lock >= SQLITE_LOCK_SHARED;
            if (blocked) return SQLITE_BUSY;
        }
        own.lock = level;
        return SQLITE_OK;
    }

    static int unlock(sqlite3_file* file, int level) {
        handle_of(file).lock = std::min(handle_of(file).lock, level);
        return SQLITE_OK;
    }

    static int check_lock(sqlite3_file* file, int* out) {
        const auto& handles = file_of(file).handles;
        *out = std::any_of(handles.begin(), handles.end(),
                           [](const MemoryHandle* other) { return other->lock >= SQLITE_LOCK_RESERVED; });
        return SQLITE_OK;
    }

    static int control(sqlite3_file* file, int operation, void*) {
        if (operation == SQLITE_FCNTL_SIZE_HINT || operation == SQLITE_FCNTL_CHUNK_SIZE)
            ++handle_of(file).vfs->size_hints_;
        return SQLITE_NOTFOUND;
    }
    static int sector_size(sqlite3_file*) { return 4096; }
    static int characteristics(sqlite3_file*) { return 0; }

    static const sqlite3_io_methods& methods() {
        static const sqlite3_io_methods all = [] {
            sqlite3_io_methods out{};
            out.iVersion = 1;
            out.xClose = close;
            out.xRead = read;
            out.xWrite = write;
            out.xTruncate = truncate;
            out.xSync = sync;
            out.xFileSize = size;
            out.xLock = lock;
            out.xUnlock = unlock;
            out.xCheckReservedLock = check_lock;
            out.xFileControl = control;
            out.xSectorSize = sector_size;
            out.xDeviceCharacteristics = characteristics;
            return out;
        }();
        return all;
    }

    static int open(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* flags_out) {
        file->pMethods = nullptr;
        const NoFailures quiet;
        MemoryVfs& memory = self(vfs);
        if (memory.next_call(DiskCall::look) != DiskFault::none) return SQLITE_CANTOPEN;
        // Temporary files (a plain database asks for them) have no name.
        auto shared = std::make_shared<MemoryVfs::File>();
        if (name != nullptr) {
            const auto found = memory.files_.find(name);
            if (found == memory.files_.end() && (flags & SQLITE_OPEN_CREATE) == 0) return SQLITE_CANTOPEN;
            if (found == memory.files_.end()) memory.files_[name] = shared;
            shared = memory.files_[name];
        }
        MemoryHandle& handle = handle_of(file);
        handle.vfs = &memory;
        handle.file = new std::shared_ptr<MemoryVfs::File>(shared);
        handle.lock = SQLITE_LOCK_NONE;
        shared->handles.push_back(&handle);
        file->pMethods = &methods();
        if (flags_out != nullptr) *flags_out = flags;
        return SQLITE_OK;
    }

    static int remove(sqlite3_vfs* vfs, const char* name, int) {
        const NoFailures quiet;
        MemoryVfs& memory = self(vfs);
        if (memory.next_call(DiskCall::change) != DiskFault::none) return SQLITE_IOERR_DELETE;
        const auto found = memory.files_.find(name);
        if (found == memory.files_.end()) return SQLITE_IOERR_DELETE_NOENT;
        if (found->second->entry_synced) memory.ghosts_[name] = std::move(found->second->synced);
        memory.files_.erase(found);
        return SQLITE_OK;
    }

    static int access(sqlite3_vfs* vfs, const char* name, int, int* out) {
        const NoFailures quiet;
        MemoryVfs& memory = self(vfs);
        if (memory.counts_side_calls_ && memory.next_call(DiskCall::look) != DiskFault::none)
            return SQLITE_IOERR_ACCESS;
        *out = memory.exists(name) ? 1 : 0;
        return SQLITE_OK;
    }

    static int full_path(sqlite3_vfs*, const char* name, int size, char* out) {
        sqlite3_snprintf(size, out, "%s", name);
        return SQLITE_OK;
    }

    static int randomness(sqlite3_vfs* vfs, int size, char* out) {
        self(vfs).random_.fill({reinterpret_cast<std::uint8_t*>(out), static_cast<std::size_t>(size)});
        return size;
    }

    static int no_sleep(sqlite3_vfs*, int microseconds) { return microseconds; }
    static int current_time(sqlite3_vfs*, double* out) {
        *out = 2461000.5;
        return SQLITE_OK;
    }
    static int last_error(sqlite3_vfs*, int, char*) { return 0; }
};

MemoryVfs::MemoryVfs(Files files) {
    static int next_number = 0;
    name_ = "memory-" + std::to_string(next_number++);
    for (auto& [file, bytes] : files) set_bytes(file, std::move(bytes));
    vfs_.iVersion = 1;
    vfs_.szOsFile = sizeof(MemoryHandle);
    vfs_.mxPathname = 256;
    vfs_.zName = name_.c_str();
    vfs_.pAppData = this;
    vfs_.xOpen = MemoryCalls::open;
    vfs_.xDelete = MemoryCalls::remove;
    vfs_.xAccess = MemoryCalls::access;
    vfs_.xFullPathname = MemoryCalls::full_path;
    vfs_.xRandomness = MemoryCalls::randomness;
    vfs_.xSleep = MemoryCalls::no_sleep;
    vfs_.xCurrentTime = MemoryCalls::current_time;
    vfs_.xGetLastError = MemoryCalls::last_error;
    ENSURE(sqlite3_vfs_register(&vfs_, 0) == SQLITE_OK);
    // The salts of a log come from SQLite's own generator: the same ones in every run.
    sqlite3_test_control(SQLITE_TESTCTRL_PRNG_SEED, 20261125, nullptr);
}

MemoryVfs::~MemoryVfs() {
    sqlite3_vfs_unregister(&vfs_);
}

Files MemoryVfs::files() const {
    Files out;
    for (const auto& [file, content] : files_) out[file] = content->now;
    return out;
}

Bytes MemoryVfs::bytes(const std::string& file) const {
    return files_.at(file)->now;
}

void MemoryVfs::set_bytes(const std::string& file, Bytes bytes) {
    std::shared_ptr<File>& target = files_[file];
    if (target == nullptr) target = std::make_shared<File>();
    target->synced = bytes;
    target->now = std::move(bytes);
    target->unsynced.clear();
    target->entry_synced = true;
}

Bytes& MemoryVfs::raw(const std::string& file) {
    return files_.at(file)->now;
}

void MemoryVfs::arm(DiskFault fault, std::int64_t at, bool lasting) {
    fault_ = fault;
    fault_at_ = at;
    lasting_ = lasting;
    calls_ = 0;
    sync_failed_ = false;
}

DiskFault MemoryVfs::next_call(DiskCall call) {
    if (fault_ == DiskFault::sync_error && call != DiskCall::sync) return DiskFault::none;
    ++calls_;
    if (fault_ == DiskFault::none || calls_ < fault_at_) return DiskFault::none;
    if (calls_ > fault_at_ && !lasting_) return DiskFault::none;
    if (fault_ == DiskFault::full && call == DiskCall::look) return DiskFault::none;
    sync_failed_ = sync_failed_ || call == DiskCall::sync;
    return fault_;
}

Files MemoryVfs::after_power_cut(SeededRandom& random) const {
    Files out;
    for (const auto& [file, content] : files_) {
        if (content->entry_synced || coin(random)) out[file] = cut_off(*content, random);
    }
    for (const auto& [file, bytes] : ghosts_) {
        if (!out.contains(file) && coin(random)) out[file] = bytes;
    }
    return out;
}

}  // namespace ladderline::test
