#pragma once
// Several pages with one read, where pages are asked for in ascending order.

#include <memory>

#include "store/vault/base_file.hpp"
#include "store/vault/layout.hpp"

namespace ladderline::store::vault {

class ReadAhead {
public:
    // `file` must outlive this.
    explicit ReadAhead(BaseFile& file) : file_(file) {}

    // The sealed page, to be used before the next call; empty if it is not wholly in the file or could not be read,
    // with the code of the read. `file_bytes`: the size of the file, behind which nothing is read ahead.
    ByteView page(std::uint32_t page_number, std::int64_t file_bytes, int& code);
    // The file was changed.
    void forget() { count_ = 0; }

private:
    // Tuning: 32 KiB; more brings nothing measurable.
    static constexpr std::size_t pages_max = 8;
    // A table's leaves stand in order, with pages of other trees between them.
    static constexpr std::uint32_t gap_max = 3;
    // Steps forward in a row before it is taken for a scan.
    static constexpr int steps_min = 2;

    BaseFile& file_;
    std::unique_ptr<std::array<PlainPage, pages_max>> pages_;
    // What pages_ holds.
    std::uint32_t first_ = 0;
    std::size_t count_ = 0;
    std::uint32_t last_asked_ = 0;
    int steps_ = 0;
};

}  // namespace ladderline::store::vault
