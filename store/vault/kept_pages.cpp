#include "store/vault/kept_pages.hpp"

#include <algorithm>
#include <new>

namespace ladderline::store::vault {

void KeptPages::keep(std::size_t frame, ByteView sealed) {
    ENSURE(sealed.size() == page_bytes);
    if (frame != count_ || frame >= kept_pages_max) return;
    std::unique_ptr<Block>& block = blocks_[frame / pages_per_block];
    if (block == nullptr) block.reset(new (std::nothrow) Block);
    if (block == nullptr) return;
    std::copy(sealed.begin(), sealed.end(), (*block)[frame % pages_per_block].begin());
    ++count_;
}

ByteView KeptPages::find(std::size_t frame) const {
    if (frame >= count_) return {};
    return (*blocks_[frame / pages_per_block])[frame % pages_per_block];
}

void KeptPages::rewind(std::size_t count) {
    count_ = std::min(count_, count);
}

}  // namespace ladderline::store::vault
