#include "store/upkeep/files.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <string>
#include <system_error>
#include <vector>

namespace ladderline::store {
namespace {

namespace fs = std::filesystem;

Error failed(int system_error, std::string_view what, const fs::path& path) {
    return {Fault::disk, path.string() + " could not be " + std::string(what) + ": " +
                             std::generic_category().message(system_error) +
                             "; what was there before is kept. Check the disk and try again."};
}

class Descriptor {
public:
    Descriptor(const fs::path& path, int flags) : number_(::open(path.c_str(), flags | O_CLOEXEC, 0600)) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() {
        if (number_ >= 0) ::close(number_);
    }
    int number() const { return number_; }
    bool is_open() const { return number_ >= 0; }

private:
    int number_;
};

Result<void> sync_folder(const fs::path& folder) {
    const Descriptor file(folder.empty() ? fs::path(".") : folder, O_RDONLY | O_DIRECTORY);
    if (!file.is_open() || ::fsync(file.number()) != 0) return failed(errno, "synced", folder);
    return ok();
}

bool write_all(int file, const char* bytes, std::size_t size) {
    while (size > 0) {
        const ssize_t written = ::write(file, bytes, size);
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) return false;
        bytes += written;
        size -= static_cast<std::size_t>(written);
    }
    return true;
}

Result<void> copy_bytes(const fs::path& from, const fs::path& to, const Progress& progress) {
    const Descriptor in(from, O_RDONLY);
    if (!in.is_open()) return failed(errno, "opened", from);
    const Descriptor out(to, O_WRONLY | O_CREAT | O_TRUNC);
    if (!out.is_open()) return failed(errno, "made", to);
    std::error_code unknown;
    const std::uint64_t total = fs::file_size(from, unknown);
    std::vector<char> chunk(std::size_t{1} << 18);
    for (std::uint64_t done = 0;;) {
        const ssize_t got = ::read(in.number(), chunk.data(), chunk.size());
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) return failed(errno, "read", from);
        if (got == 0) break;
        if (!write_all(out.number(), chunk.data(), static_cast<std::size_t>(got))) return failed(errno, "written", to);
        done += static_cast<std::uint64_t>(got);
        if (!goes_on(progress, done, total)) return Error{Fault::cancelled, "Stopped; nothing was changed."};
    }
    if (::fsync(out.number()) != 0) return failed(errno, "written", to);
    return sync_folder(to.parent_path());
}

}  // namespace

Result<void> copy_file(const fs::path& from, const fs::path& to, const Progress& progress) {
    Result<void> outcome = copy_bytes(from, to, progress);
    if (!outcome) remove_quietly(to);
    return outcome;
}

Result<void> move_file(const fs::path& from, const fs::path& to) {
    if (::rename(from.c_str(), to.c_str()) != 0) return failed(errno, "renamed", from);
    return sync_folder(to.parent_path());
}

void remove_quietly(const fs::path& file) {
    ::unlink(file.c_str());
}

bool is_empty_folder(const fs::path& folder) {
    std::error_code error;
    if (!fs::exists(folder, error)) return !error;
    return fs::is_directory(folder, error) && fs::is_empty(folder, error) && !error;
}

}  // namespace ladderline::store
