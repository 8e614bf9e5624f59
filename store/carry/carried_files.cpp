#include "store/carry/carried_files.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <system_error>

namespace ladderline::store {
namespace {

namespace fs = std::filesystem;

Error failed(int system_error, std::string_view what, const fs::path& path) {
    if (system_error == ENOSPC || system_error == EDQUOT) {
        return {Fault::disk, "There is no room left for " + path.string() + "; it was not written. Free some space."};
    }
    return {Fault::disk, path.string() + " could not be " + std::string(what) + ": " +
                             std::generic_category().message(system_error) + "; nothing there was changed."};
}

class Open {
public:
    Open(const fs::path& path, int flags) : number_(::open(path.c_str(), flags | O_CLOEXEC, 0644)) {}
    Open(const Open&) = delete;
    Open& operator=(const Open&) = delete;
    ~Open() {
        if (number_ >= 0) ::close(number_);
    }
    int number() const { return number_; }

private:
    int number_;
};

// 0, or the system's error number.
int write_synced(const fs::path& path, ByteView bytes) {
    const Open file(path, O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW);
    if (file.number() < 0) return errno;
    while (!bytes.empty()) {
        const ssize_t written = ::write(file.number(), bytes.data(), bytes.size());
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) return errno;
        bytes = bytes.subspan(static_cast<std::size_t>(written));
    }
    return ::fsync(file.number()) == 0 ? 0 : errno;
}

// Not every file system of a stick can sync a folder; those that cannot keep no promise that could be broken here.
int sync_folder(const fs::path& folder) {
    const Open file(folder.empty() ? fs::path(".") : folder, O_RDONLY | O_DIRECTORY);
    if (file.number() < 0) return errno;
    if (::fsync(file.number()) == 0 || errno == EINVAL || errno == ENOTSUP) return 0;
    return errno;
}

}  // namespace

Result<fs::path> RealCarriedFiles::real_path(const fs::path& path) {
    std::error_code error;
    fs::path out = fs::weakly_canonical(fs::absolute(path, error), error);
    if (error) return failed(error.value(), "looked up", path);
    if (!out.has_filename()) out = out.parent_path();
    return out;
}

Result<bool> RealCarriedFiles::exists(const fs::path& path) {
    std::error_code error;
    const bool found = fs::exists(path, error);
    if (error) return failed(error.value(), "looked up", path);
    return found;
}

Result<bool> RealCarriedFiles::is_folder(const fs::path& path) {
    std::error_code error;
    return fs::is_directory(path, error);
}

Result<std::vector<std::string>> RealCarriedFiles::list(const fs::path& folder, std::string_view ending,
                                                        std::size_t count_max) {
    std::error_code error;
    std::vector<std::string> names;
    fs::directory_iterator entries(folder, error);
    if (error == std::errc::no_such_file_or_directory || error == std::errc::not_a_directory) {
        return Error{Fault::not_found, folder.string() + " is not there; nothing was changed."};
    }
    while (!error && entries != fs::directory_iterator() && names.size() < count_max) {
        std::string name = entries->path().filename().string();
        std::error_code ignored;
        if (name.ends_with(ending) && entries->is_regular_file(ignored)) names.push_back(std::move(name));
        entries.increment(error);
    }
    if (error) return failed(error.value(), "listed", folder);
    std::sort(names.begin(), names.end());
    return names;
}

Result<Bytes> RealCarriedFiles::read(const fs::path& path, std::size_t bytes_max) {
    // A pipe must not be waited for.
    const Open file(path, O_RDONLY | O_NONBLOCK);
    if (file.number() < 0 && errno == ENOENT) {
        return Error{Fault::not_found, path.string() + " is not there; nothing was taken in."};
    }
    if (file.number() < 0) return failed(errno, "opened", path);
    struct stat found {};
    if (::fstat(file.number(), &found) != 0) return failed(errno, "looked at", path);
    if (!S_ISREG(found.st_mode)) return Error{Fault::bad_input, path.string() + " is no file that can be read."};
    const Error too_large{Fault::bad_input, path.string() + " is too large to be taken in; nothing was changed."};
    if (found.st_size > static_cast<off_t>(bytes_max)) return too_large;
    Bytes out;
    out.reserve(static_cast<std::size_t>(found.st_size));
    std::array<std::uint8_t, 16384> chunk;
    for (;;) {
        const ssize_t got = ::read(file.number(), chunk.data(), chunk.size());
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) return failed(errno, "read", path);
        if (got == 0) return out;
        out.insert(out.end(), chunk.begin(), chunk.begin() + got);
        if (out.size() > bytes_max) return too_large;
    }
}

Result<void> RealCarriedFiles::write(const fs::path& path, ByteView bytes) {
    fs::path temporary = path;
    temporary += ".new";
    int error = write_synced(temporary, bytes);
    if (error == 0 && ::rename(temporary.c_str(), path.c_str()) != 0) error = errno;
    if (error != 0) {
        ::unlink(temporary.c_str());
        return failed(error, "written", path);
    }
    error = sync_folder(path.parent_path());
    if (error != 0) return failed(error, "written", path);
    return ok();
}

Result<void> RealCarriedFiles::remove(const fs::path& path) {
    if (::unlink(path.c_str()) != 0 && errno != ENOENT) return failed(errno, "removed", path);
    return ok();
}

bool is_inside(const fs::path& inner, const fs::path& outer) {
    const auto [at_inner, at_outer] = std::mismatch(inner.begin(), inner.end(), outer.begin(), outer.end());
    return at_outer == outer.end();
}

}  // namespace ladderline::store
