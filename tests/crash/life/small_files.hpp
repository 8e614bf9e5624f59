#pragma once
// The disk of small files as a file system keeps it: what was written and renamed but not synced may be lost at a power
// cut. Its steps count as calls of the memory VFS beside it, so one schedule of faults covers both.

#include <optional>

#include "store/disk.hpp"
#include "tests/support/store/memory_vfs.hpp"

namespace ladderline::test {

class SmallFiles : public store::Disk {
public:
    // `vfs` outlives this.
    explicit SmallFiles(MemoryVfs& vfs, Files files = {}) : vfs_(vfs), now_(files), synced_(std::move(files)) {}

    Result<bool> exists(const std::filesystem::path& path) override;
    Result<Bytes> read(const std::filesystem::path& path) override;
    Result<void> write_atomically(const std::filesystem::path& path, ByteView bytes) override;
    Result<void> patch(const std::filesystem::path& path, std::size_t offset, ByteView bytes, bool flush) override;
    Result<void> remove(const std::filesystem::path& path) override;
    Result<std::vector<std::string>> list(const std::filesystem::path& folder) override;
    Result<void> make_folder(const std::filesystem::path& folder) override;

    const Files& files() const { return now_; }
    // What was synced, and of every later change by chance.
    Files after_power_cut(SeededRandom& random) const;

private:
    struct Change {
        std::string path;
        std::optional<Bytes> bytes;                // none: removed
        bool torn = false;                         // the bytes themselves were not synced
        std::optional<std::size_t> patch_at = {};  // they stand there in a file that is kept
    };

    Result<void> call(DiskCall kind);
    void change(const std::string& path, std::optional<Bytes> bytes, bool torn);
    Result<void> sync_folder();

    MemoryVfs& vfs_;
    Files now_;
    Files synced_;
    std::vector<Change> unsynced_;
};

}  // namespace ladderline::test
