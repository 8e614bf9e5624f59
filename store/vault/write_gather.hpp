#pragma once
// Joins writes that follow one another in a file into few large ones.

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

    // Room for `size` bytes at `offset` of the file, to be filled by the caller at once; flushes first what does not
    // join. Empty on failure, with `code` set.
    MutableByteView take(std::int64_t offset, std::size_t size, int& code);
    // Writes what has been gathered.
    int flush();

private:
    BaseFile& file_;
    Bytes gathered_;
    std::int64_t start_ = 0;
};

}  // namespace ladderline::store::vault
