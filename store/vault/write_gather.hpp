#pragma once
// Joins writes that follow one another in a file into few large ones.

#include <memory>

#include "store/vault/base_file.hpp"

namespace ladderline::store::vault {

// The unix VFS masks the length of one write to below 128 KiB.
inline constexpr std::size_t gather_bytes_max = std::size_t{120} * 1024;

// A failed write loses what was gathered; the call that met it reports it, and that is always one that SQLite waits for
// before it relies on the bytes: a later write of the same step, the frame that commits, or the sync.
class WriteGather {
public:
    // `file` must outlive this.
    explicit WriteGather(BaseFile& file) : file_(file) {}

    // Room for `size` bytes (gather_bytes_max at most) at `offset` of the file, to be filled by the caller at once;
    // flushes first what does not join. Empty on failure, with `code` set.
    MutableByteView take(std::int64_t offset, std::size_t size, int& code);
    // Writes what has been gathered.
    int flush() { return size_ == 0 ? SQLITE_OK : write_out(); }

private:
    int write_out();

    BaseFile& file_;
    // gather_bytes_max bytes from the first take() on; the first size_ of them are gathered.
    std::unique_ptr<std::uint8_t[]> memory_;
    std::size_t size_ = 0;
    std::int64_t start_ = 0;
};

}  // namespace ladderline::store::vault
