#include "node/app/store_place.hpp"

#include <sys/vfs.h>

#include <system_error>

#include "store/vault/key_file.hpp"

namespace ladderline::node {
namespace {

namespace fs = std::filesystem;

bool has_sync_mark(const fs::path& folder) {
    std::error_code error;
    for (fs::directory_iterator entries(folder, error); !error && entries != fs::directory_iterator();
         entries.increment(error)) {
        if (entries->path().filename().string().starts_with(".sync")) return true;
    }
    return false;
}

}  // namespace

// Numbers from linux/magic.h and statfs(2).
bool is_shared_file_system(std::uint64_t type) {
    constexpr std::uint64_t shared[] = {
        0x6969,      // NFS
        0x517B,      // SMB
        0xFF534D42,  // CIFS
        0xFE534D42,  // SMB2
        0x01021997,  // 9P
        0x65735546,  // FUSE
    };
    for (const std::uint64_t one : shared) {
        if ((type & 0xFFFFFFFF) == one) return true;
    }
    return false;
}

Result<void> check_store_place(const fs::path& folder) {
    std::error_code unknown;
    fs::path nearest = fs::weakly_canonical(fs::absolute(folder, unknown), unknown);
    while (!fs::exists(nearest, unknown) && nearest.has_relative_path()) nearest = nearest.parent_path();
    struct statfs found {};
    if (::statfs(nearest.c_str(), &found) == 0 && is_shared_file_system(static_cast<std::uint64_t>(found.f_type))) {
        return Error{Fault::refused, folder.string() +
                                         " is on a share or a served file system, where an open store is damaged "
                                         "sooner or later; nothing was made: choose a folder on a disk of this "
                                         "machine with --home."};
    }
    for (fs::path above = nearest; above.has_relative_path(); above = above.parent_path()) {
        if (!has_sync_mark(above)) continue;
        return Error{Fault::refused, above.string() +
                                         " looks like a folder that another program keeps the same on several "
                                         "machines, which damages an open store; nothing was made: choose a folder "
                                         "outside it with --home."};
    }
    return ok();
}

Result<void> store_must_be_there(const fs::path& folder) {
    store::RealDisk disk;
    TRY(const bool begun, store::vault::has_key_file(disk, folder));
    if (begun) return ok();
    return Error{Fault::not_found, "There is no store in " + folder.string() + "; begin with 'ladderline begin'."};
}

}  // namespace ladderline::node
