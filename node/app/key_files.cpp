#include "node/app/key_files.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>

namespace ladderline::node {
namespace {

namespace fs = std::filesystem;
using protocol::SecretBytes;

class OpenFile {
public:
    OpenFile(const fs::path& path, int flags) : number_(::open(path.c_str(), flags | O_CLOEXEC, 0600)) {}
    ~OpenFile() {
        if (number_ >= 0) ::close(number_);
    }
    OpenFile(const OpenFile&) = delete;
    OpenFile& operator=(const OpenFile&) = delete;

    bool is_open() const { return number_ >= 0; }
    int number() const { return number_; }

private:
    int number_;
};

Error unreadable(const fs::path& path, int system_error) {
    return {Fault::bad_input, "The key file " + path.string() + " cannot be read (" +
                                  std::generic_category().message(system_error) + "); nothing was changed."};
}

// Its owner alone can get at what is in it.
Result<void> check_private(const fs::path& path, const struct stat& found) {
    if (found.st_uid != geteuid()) {
        return Error{Fault::refused, "The key file " + path.string() +
                                         " belongs to somebody else, so it is not used; nothing was changed."};
    }
    if ((found.st_mode & 077) != 0) {
        return Error{Fault::refused, "Others may read the key file " + path.string() +
                                         ", so it is not used; nothing was changed: set its mode to 0600."};
    }
    return ok();
}

Result<fs::path> without_links(const fs::path& path) {
    std::error_code error;
    fs::path out = fs::weakly_canonical(path, error);
    if (!error) return out;
    return Error{Fault::bad_input, path.string() + " cannot be looked at (" + error.message() +
                                       "); nothing was made: choose another place."};
}

Result<bool> lies_within(const fs::path& path, const fs::path& folder) {
    TRY(const fs::path file, without_links(path));
    TRY(const fs::path above, without_links(folder));
    return std::mismatch(above.begin(), above.end(), file.begin(), file.end()).first == above.end();
}

fs::path folder_of(const fs::path& path) {
    std::error_code unknown;
    return fs::absolute(path, unknown).parent_path();
}

Result<void> check_place(const fs::path& path, const fs::path& store_folder) {
    TRY(const bool within_store, lies_within(path, store_folder));
    if (within_store) {
        return Error{Fault::refused,
                     "A key file inside the store's folder is copied and stolen together with it; nothing was made: "
                     "choose another place."};
    }
    const fs::path folder = folder_of(path);
    struct stat found {};
    if (::stat(folder.c_str(), &found) != 0 || !S_ISDIR(found.st_mode)) {
        return Error{Fault::bad_input, "There is no folder " + folder.string() + "; nothing was made."};
    }
    if ((found.st_mode & 022) != 0) {
        return Error{Fault::refused, "Others may put files into " + folder.string() +
                                         "; nothing was made: choose a folder that only you can write to."};
    }
    return ok();
}

bool write_and_sync(const OpenFile& file, const fs::path& folder, const SecretBytes& secret) {
    const auto written = ::write(file.number(), secret.view().data(), secret.size());
    if (written != static_cast<ssize_t>(secret.size()) || ::fsync(file.number()) != 0) return false;
    const OpenFile above(folder, O_RDONLY | O_DIRECTORY);
    return above.is_open() && ::fsync(above.number()) == 0;
}

}  // namespace

Result<SecretBytes> read_key_file(const fs::path& path) {
    const OpenFile file(path, O_RDONLY);
    if (!file.is_open()) return unreadable(path, errno);
    struct stat found {};
    if (::fstat(file.number(), &found) != 0) return unreadable(path, errno);
    TRY(check_private(path, found));
    if (!S_ISREG(found.st_mode) || found.st_size != static_cast<off_t>(key_file_bytes)) {
        return Error{Fault::bad_input,
                     path.string() + " is no key file; nothing was changed: make one with 'ladderline key-file PATH'."};
    }
    SecretBytes out(key_file_bytes);
    if (::read(file.number(), out.mutable_view().data(), out.size()) != static_cast<ssize_t>(out.size())) {
        return unreadable(path, errno);
    }
    return out;
}

Result<SecretBytes> make_key_file(const fs::path& path, const fs::path& store_folder, Random& random) {
    TRY(check_place(path, store_folder));
    const OpenFile file(path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW);
    if (!file.is_open() && errno == EEXIST) {
        return Error{Fault::refused,
                     "There is a file at " + path.string() + " already; nothing was made: choose another name."};
    }
    if (!file.is_open()) {
        return Error{Fault::disk, "The key file " + path.string() + " cannot be made (" +
                                      std::generic_category().message(errno) + "); nothing was changed."};
    }
    SecretBytes secret = SecretBytes::random(key_file_bytes, random);
    struct stat made {};
    // Some file systems know no owners and modes.
    const Result<void> is_private = ::fstat(file.number(), &made) == 0 ? check_private(path, made) : ok();
    if (is_private && write_and_sync(file, folder_of(path), secret)) return secret;
    ::unlink(path.c_str());
    if (!is_private) {
        return Error{Fault::refused,
                     "The file system at " + path.string() +
                         " does not keep files private; nothing was made: choose a place on another one."};
    }
    return Error{Fault::disk,
                 "The disk did not take the key file " + path.string() + "; nothing was changed. Check the disk."};
}

}  // namespace ladderline::node
