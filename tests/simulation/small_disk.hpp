#pragma once
// The disk of small files: what was not flushed may be gone after a power cut.

#include "tests/simulation/dice.hpp"
#include "tests/support/store/memory_disk.hpp"

namespace ladderline::simulation {

class SmallDisk : public test::MemoryDisk {
public:
    using Files = std::map<std::filesystem::path, Bytes>;

    Result<void> write_atomically(const std::filesystem::path& path, ByteView bytes) override {
        TRY(MemoryDisk::write_atomically(path, bytes));
        flushed_[path] = files[path];
        return ok();
    }
    Result<void> patch(const std::filesystem::path& path, std::size_t offset, ByteView bytes, bool flush) override {
        TRY(MemoryDisk::patch(path, offset, bytes, flush));
        if (flush) flushed_[path] = files[path];
        return ok();
    }
    void set(Files all) {
        files = all;
        flushed_ = std::move(all);
    }
    Files after_power_cut(Dice& dice) const {
        Files out = files;
        for (auto& [path, bytes] : out) {
            const auto safe = flushed_.find(path);
            if (safe != flushed_.end() && dice.chance(50)) bytes = safe->second;
        }
        return out;
    }

private:
    Files flushed_;
};

}  // namespace ladderline::simulation
