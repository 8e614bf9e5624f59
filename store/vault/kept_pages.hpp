#pragma once
// The sealed pages of the log, kept in memory for the checkpoint that follows.

#include <memory>

#include "store/vault/layout.hpp"

namespace ladderline::store::vault {

// Tuning: 4 MiB; a log is checkpointed at about 2 MiB, and one large step may go beyond.
inline constexpr std::size_t kept_pages_max = 1024;

// Pages of the frames 0, 1, ... up to the limit; memory once taken is used again.
class KeptPages {
public:
    // Keeps nothing if `frame` is not the one behind the last kept, is beyond the limit, or no memory is to be had.
    void keep(std::size_t frame, ByteView sealed);
    // Empty if the frame's page is not kept. Valid until the next call that is not find.
    ByteView find(std::size_t frame) const;
    // Forgets frame `count` and all behind it.
    void rewind(std::size_t count);

private:
    static constexpr std::size_t pages_per_block = 64;
    using Block = std::array<PlainPage, pages_per_block>;

    std::array<std::unique_ptr<Block>, kept_pages_max / pages_per_block> blocks_;
    std::size_t count_ = 0;
};

}  // namespace ladderline::store::vault
