#include "store/vault/read_ahead.hpp"

#include <algorithm>

namespace ladderline::store::vault {

ByteView ReadAhead::page(std::uint32_t page_number, std::int64_t file_bytes, int& code) {
    code = SQLITE_OK;
    const bool forward = page_number > last_asked_ && page_number - last_asked_ <= gap_max;
    steps_ = forward ? std::min(steps_ + 1, steps_min) : 0;
    if (page_number <= last_asked_) forget();  // asked again: what the disk holds now
    last_asked_ = page_number;
    if (page_number >= first_ && page_number - first_ < count_) return (*pages_)[page_number - first_];

    if (pages_ == nullptr) pages_ = std::make_unique_for_overwrite<std::array<PlainPage, pages_max>>();
    const std::int64_t offset = (std::int64_t{page_number} - 1) * static_cast<std::int64_t>(page_bytes);
    const std::int64_t left = (file_bytes - offset) / static_cast<std::int64_t>(page_bytes);
    const std::int64_t wanted = steps_ < steps_min ? 1 : std::clamp<std::int64_t>(left, 1, pages_max);
    count_ = 0;
    code = file_.read(offset, MutableByteView(pages_->front().data(), static_cast<std::size_t>(wanted) * page_bytes));
    if (code != SQLITE_OK) return {};
    first_ = page_number;
    count_ = static_cast<std::size_t>(wanted);
    return pages_->front();
}

}  // namespace ladderline::store::vault
