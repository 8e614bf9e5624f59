#include "tests/support/store/memory_disk.hpp"

namespace ladderline::test {

namespace fs = std::filesystem;

Result<void> MemoryDisk::next_call() {
    if (++calls_ == fail_at_) return Error{Fault::disk, "The disk failed, as the test asked."};
    return ok();
}

Result<bool> MemoryDisk::exists(const fs::path& path) {
    TRY(next_call());
    return files.contains(path) || folders_.contains(path);
}

Result<Bytes> MemoryDisk::read(const fs::path& path) {
    TRY(next_call());
    const auto found = files.find(path);
    if (found == files.end()) return Error{Fault::not_found, path.string() + " is not there."};
    return found->second;
}

Result<void> MemoryDisk::write_atomically(const fs::path& path, ByteView bytes) {
    TRY(next_call());
    files[path] = to_bytes(bytes);
    return ok();
}

Result<void> MemoryDisk::patch(const fs::path& path, std::size_t offset, ByteView bytes, bool) {
    TRY(next_call());
    Bytes& file = files[path];
    file.resize(std::max(file.size(), offset + bytes.size()));
    std::copy(bytes.begin(), bytes.end(), file.begin() + static_cast<std::ptrdiff_t>(offset));
    return ok();
}

Result<void> MemoryDisk::remove(const fs::path& path) {
    TRY(next_call());
    files.erase(path);
    return ok();
}

Result<std::vector<std::string>> MemoryDisk::list(const fs::path& folder) {
    TRY(next_call());
    std::vector<std::string> names;
    for (const auto& [path, bytes] : files) {
        if (path.parent_path() == folder) names.push_back(path.filename().string());
    }
    if (names.empty() && !folders_.contains(folder)) {
        return Error{Fault::not_found, folder.string() + " is not there."};
    }
    return names;
}

Result<void> MemoryDisk::make_folder(const fs::path& folder) {
    TRY(next_call());
    folders_[folder] = true;
    return ok();
}

}  // namespace ladderline::test
