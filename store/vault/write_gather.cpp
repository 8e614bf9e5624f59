#include "store/vault/write_gather.hpp"

namespace ladderline::store::vault {

MutableByteView WriteGather::take(std::int64_t offset, std::size_t size, int& code) {
    const bool joins = offset == start_ + static_cast<std::int64_t>(gathered_.size());
    code = SQLITE_OK;
    if (!gathered_.empty() && (!joins || gathered_.size() + size > gather_bytes_max)) code = flush();
    if (code != SQLITE_OK) return {};
    if (gathered_.empty()) {
        gathered_.reserve(gather_bytes_max);
        start_ = offset;
    }
    gathered_.resize(gathered_.size() + size);
    return MutableByteView(gathered_).last(size);
}

int WriteGather::flush() {
    if (gathered_.empty()) return SQLITE_OK;
    const int code = file_.write(start_, gathered_);
    gathered_.clear();
    return code;
}

}  // namespace ladderline::store::vault
