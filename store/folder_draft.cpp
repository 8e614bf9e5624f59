#include "store/folder_draft.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <fstream>

namespace ladderline::store {
namespace {

namespace fs = std::filesystem;

Error disk_failed(const fs::path& path) {
    return {Fault::disk,
            path.string() + " could not be written, so nothing was kept of it; make room on the disk, and try again."};
}

Result<void> synced(const fs::path& path) {
    const int opened = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    const bool done = opened >= 0 && ::fsync(opened) == 0;
    if (opened >= 0) ::close(opened);
    if (!done) return disk_failed(path);
    return ok();
}

}  // namespace

Result<std::unique_ptr<FolderDraft>> FolderDraft::begin(const fs::path& target) {
    std::error_code error;
    const fs::path place = target.has_filename() ? target : target.parent_path();
    if (fs::exists(place, error) && (!fs::is_directory(place, error) || !fs::is_empty(place, error))) {
        return Error{Fault::refused,
                     place.string() + " is not an empty folder; nothing was written: choose another name."};
    }
    fs::path part = place;
    part += ".part";
    if (::mkdir(part.c_str(), 0700) == 0) return std::unique_ptr<FolderDraft>(new FolderDraft(place, part));
    if (errno == EEXIST) {
        return Error{Fault::refused, part.string() +
                                         " is left over from one that was cut off; nothing was written: "
                                         "remove it and try again."};
    }
    return disk_failed(part);
}

FolderDraft::~FolderDraft() {
    std::error_code ignored;
    if (!kept_) fs::remove_all(part_, ignored);
}

Result<void> FolderDraft::sync(std::string_view name) const {
    return synced(file(name));
}

Error FolderDraft::failed(std::string_view name) const {
    return disk_failed(file(name));
}

Result<void> FolderDraft::write(std::string_view name, std::string_view text) const {
    std::ofstream out(file(name), std::ios::binary);
    out << text;
    out.close();
    if (!out) return disk_failed(file(name));
    return synced(file(name));
}

Result<void> FolderDraft::keep() {
    TRY(synced(part_));
    if (::rename(part_.c_str(), target_.c_str()) != 0) return disk_failed(target_);
    kept_ = true;
    return synced(target_.has_parent_path() ? target_.parent_path() : fs::path("."));
}

}  // namespace ladderline::store
