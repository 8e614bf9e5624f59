#include "store/vault/database_files.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <optional>

#include "store/sqlite/error.hpp"
#include "store/vault/file_header.hpp"

namespace ladderline::store::vault {
namespace {

namespace fs = std::filesystem;

Result<void> checked(int code) {
    if (code == SQLITE_OK) return ok();
    return sqlite::error_of(code, nullptr);
}

Result<bool> exists(BaseVfs vfs, const std::string& path) {
    int found = 0;
    TRY(checked(vfs->xAccess(vfs, path.c_str(), SQLITE_ACCESS_EXISTS, &found)));
    return found != 0;
}

struct Candidate {
    fs::path file;
    bool is_there = false;
    bool has_log = false;
    bool proves_key = false;
};

Result<Candidate> look_at(BaseVfs vfs, const fs::path& file, const protocol::AeadKey& data_key) {
    Candidate out{file};
    TRY(const std::string path, full_path(vfs, file));
    TRY(out.is_there, exists(vfs, path));
    TRY(out.has_log, exists(vfs, path + "-wal"));
    if (!out.is_there) return out;
    TRY(BaseFile opened, BaseFile::open_path(vfs, path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_MAIN_DB));
    FileHeader header{};
    const int code = opened.read(0, header);
    if (code != SQLITE_OK && code != SQLITE_IOERR_SHORT_READ) return sqlite::error_of(code, nullptr);
    out.proves_key = check_file_header(header, data_key).has_value();
    return out;
}

// What another program has open is busy, until the file is closed. Closing it lets go of the locks.
Result<void> lock_whole(BaseFile& file) {
    for (const int level : {SQLITE_LOCK_SHARED, SQLITE_LOCK_RESERVED, SQLITE_LOCK_EXCLUSIVE}) {
        TRY(checked(file.raw()->pMethods->xLock(file.raw(), level)));
    }
    return ok();
}

Result<void> overwrite(BaseFile& file) {
    std::int64_t size = 0;
    TRY(checked(file.size(size)));
    constexpr std::int64_t piece_bytes = 64 * 1024;
    const Bytes zeros(static_cast<std::size_t>(piece_bytes));
    for (std::int64_t at = 0; at < size; at += piece_bytes) {
        const auto length = static_cast<std::size_t>(std::min(piece_bytes, size - at));
        TRY(checked(file.write(at, ByteView(zeros).first(length))));
    }
    return checked(file.sync(SQLITE_SYNC_NORMAL));
}

}  // namespace

Result<DatabaseFiles> find_database(const fs::path& folder, const protocol::AeadKey& data_key,
                                    const std::string& base_vfs) {
    TRY(const BaseVfs vfs, find_vfs(base_vfs));
    TRY(Candidate first, look_at(vfs, folder / database_names[0], data_key));
    TRY(Candidate second, look_at(vfs, folder / database_names[1], data_key));
    const bool second_is_meant = second.proves_key || (second.is_there && !first.is_there && !first.has_log);
    if (!first.proves_key && second_is_meant) std::swap(first, second);
    return DatabaseFiles{first.file, second.file, second.is_there || second.has_log};
}

Result<void> remove_database(const fs::path& file, const std::string& base_vfs) {
    TRY(const BaseVfs vfs, find_vfs(base_vfs));
    TRY(const std::string path, full_path(vfs, file));
    TRY(const bool is_there, exists(vfs, path));
    std::optional<BaseFile> held;
    if (is_there) {
        TRY(BaseFile opened, BaseFile::open_path(vfs, path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_MAIN_DB));
        held.emplace(std::move(opened));
        TRY(lock_whole(*held));
    }
    // The log first: without its database it would pass for the sign of a lost file.
    const std::string log = path + "-wal";
    TRY(const bool has_log, exists(vfs, log));
    if (has_log) {
        TRY(checked(vfs->xDelete(vfs, log.c_str(), 1)));
    }
    if (!held) return ok();
    TRY(overwrite(*held));
    return checked(vfs->xDelete(vfs, path.c_str(), 1));
}

Result<void> sync_name(const fs::path& file, const std::string& base_vfs) {
    if (!base_vfs.empty()) return ok();
    const fs::path folder = file.parent_path();
    const int opened = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool synced = opened >= 0 && ::fsync(opened) == 0;
    if (opened >= 0) ::close(opened);
    if (synced) return ok();
    return Error{Fault::disk, folder.string() + " could not be synced; what was there before is kept. Try again."};
}

void make_private(const fs::path& file, const std::string& base_vfs) {
    if (!base_vfs.empty()) return;
    for (const char* ending : {"", "-wal"}) {
        fs::path path = file;
        path += ending;
        std::error_code ignored;
        fs::permissions(path, fs::perms::owner_read | fs::perms::owner_write, ignored);
    }
}

}  // namespace ladderline::store::vault
