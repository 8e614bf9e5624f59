#include "store/disk.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <system_error>

namespace ladderline::store {
namespace {

namespace fs = std::filesystem;

Error failed(int system_error, std::string_view what, const fs::path& path) {
    if (system_error == ENOSPC || system_error == EDQUOT) {
        return {Fault::disk, "The disk is full: nothing of this step was stored; free some space and try again (" +
                                 path.string() + ")."};
    }
    return {Fault::disk, path.string() + " could not be " + std::string(what) + ": " +
                             std::generic_category().message(system_error) +
                             "; what was there before is kept. Check the folder and try again."};
}

Error missing(const fs::path& path) {
    return {Fault::not_found, path.string() + " is not there; nothing was changed. Check the folder."};
}

// An open file of the system; closed on destruction.
class Descriptor {
public:
    Descriptor(const fs::path& path, int flags) : number_(::open(path.c_str(), flags | O_CLOEXEC, 0600)) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() { static_cast<void>(close()); }

    int number() const { return number_; }
    bool is_open() const { return number_ >= 0; }
    // False with errno set.
    bool close() {
        if (number_ < 0) return true;
        return ::close(std::exchange(number_, -1)) == 0;
    }

private:
    int number_;
};

// False with errno set.
bool write_all(int file, ByteView bytes) {
    while (!bytes.empty()) {
        const ssize_t written = ::write(file, bytes.data(), bytes.size());
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) return false;
        bytes = bytes.subspan(static_cast<std::size_t>(written));
    }
    return true;
}

Result<void> sync_folder(const fs::path& folder) {
    const Descriptor file(folder.empty() ? fs::path(".") : folder, O_RDONLY | O_DIRECTORY);
    if (!file.is_open() || ::fsync(file.number()) != 0) return failed(errno, "synced", folder);
    return ok();
}

// Into a file of its own making: one that stands there already may be open elsewhere, belong to somebody else, or lead
// to another place, and what is written is secret.
Result<void> write_synced(const fs::path& path, ByteView bytes) {
    ::unlink(path.c_str());
    Descriptor file(path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW);
    if (!file.is_open()) return failed(errno, "made", path);
    if (!write_all(file.number(), bytes) || ::fsync(file.number()) != 0 || !file.close()) {
        return failed(errno, "written", path);
    }
    return ok();
}

}  // namespace

Result<bool> RealDisk::exists(const fs::path& path) {
    std::error_code error;
    const bool found = fs::exists(path, error);
    if (error) return failed(error.value(), "looked up", path);
    return found;
}

Result<Bytes> RealDisk::read(const fs::path& path) {
    const Descriptor file(path, O_RDONLY);
    if (!file.is_open() && errno == ENOENT) return missing(path);
    if (!file.is_open()) return failed(errno, "opened", path);
    Bytes out;
    std::array<std::uint8_t, 16384> chunk;
    for (;;) {
        const ssize_t got = ::read(file.number(), chunk.data(), chunk.size());
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) return failed(errno, "read", path);
        if (got == 0) return out;
        out.insert(out.end(), chunk.begin(), chunk.begin() + got);
    }
}

Result<void> RealDisk::write_atomically(const fs::path& path, ByteView bytes) {
    fs::path temporary = path;
    temporary += ".new";
    Result<void> written = write_synced(temporary, bytes);
    if (!written) {
        ::unlink(temporary.c_str());
        return written;
    }
    if (::rename(temporary.c_str(), path.c_str()) != 0) {
        const int system_error = errno;
        ::unlink(temporary.c_str());
        return failed(system_error, "replaced", path);
    }
    return sync_folder(path.parent_path());
}

Result<void> RealDisk::patch(const fs::path& path, std::size_t offset, ByteView bytes, bool flush) {
    const bool is_new = ::access(path.c_str(), F_OK) != 0;
    const Descriptor file(path, O_WRONLY | O_CREAT);
    if (!file.is_open()) return failed(errno, "opened", path);
    if (::lseek(file.number(), static_cast<off_t>(offset), SEEK_SET) < 0 || !write_all(file.number(), bytes) ||
        (flush && ::fsync(file.number()) != 0)) {
        return failed(errno, "written", path);
    }
    if (is_new && flush) return sync_folder(path.parent_path());
    return ok();
}

Result<void> RealDisk::remove(const fs::path& path) {
    if (::unlink(path.c_str()) != 0) {
        if (errno == ENOENT) return ok();
        return failed(errno, "removed", path);
    }
    return sync_folder(path.parent_path());
}

Result<std::vector<std::string>> RealDisk::list(const fs::path& folder) {
    std::error_code error;
    std::vector<std::string> names;
    fs::directory_iterator entries(folder, error);
    if (error == std::errc::no_such_file_or_directory) return missing(folder);
    while (!error && entries != fs::directory_iterator()) {
        std::error_code ignored;
        if (!entries->is_directory(ignored)) names.push_back(entries->path().filename().string());
        entries.increment(error);
    }
    if (error) return failed(error.value(), "listed", folder);
    std::sort(names.begin(), names.end());
    return names;
}

Result<void> RealDisk::make_folder(const fs::path& folder) {
    std::error_code error;
    if (folder.empty() || fs::is_directory(folder, error)) return ok();
    TRY(make_folder(folder.parent_path()));
    if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST) return failed(errno, "made", folder);
    return sync_folder(folder.parent_path());
}

}  // namespace ladderline::store
