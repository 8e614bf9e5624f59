#include "store/vault/write_gather.hpp"

namespace ladderline::store::vault {

MutableByteView WriteGather::take(std::int64_t offset, std::size_t size, int& code) {
    ENSURE(size <= gather_bytes_max);
    const bool joins = offset == start_ + static_cast<std::int64_t>(size_);
    code = SQLITE_OK;
    if (size_ != 0 && (!joins || size_ + size > gather_bytes_max)) code = flush();
    if (code != SQLITE_OK) return {};
    if (memory_ == nullptr) memory_ = std::make_unique_for_overwrite<std::uint8_t[]>(gather_bytes_max);
    if (size_ == 0) start_ = offset;
    size_ += size;
    return MutableByteView(memory_.get(), size_).last(size);
}

int WriteGather::write_out() {
    const std::size_t size = size_;
    size_ = 0;
    return file_.write(start_, {memory_.get(), size});
}

}  // namespace ladderline::store::vault
