#include "store/vault/main_file.hpp"

#include <algorithm>
#include <limits>

namespace ladderline::store::vault {
namespace {

constexpr auto page_size = static_cast<std::int64_t>(page_bytes);
constexpr std::size_t first_read_bytes = 100;

std::uint32_t page_number_at(std::int64_t offset) {
    return static_cast<std::uint32_t>(offset / page_size + 1);
}

bool in_range(std::int64_t offset) {
    return offset >= 0 && offset / page_size < std::numeric_limits<std::uint32_t>::max();
}

}  // namespace

int MainFile::read(std::int64_t offset, MutableByteView out) {
    if (!in_range(offset) || out.size() > page_bytes) return refuse(SQLITE_IOERR_READ);
    keys_.checkpoint.end();
    if (const int code = flush(); code != SQLITE_OK) return code;
    if (offset == 0 && out.size() == first_read_bytes) return read_first_bytes(out);
    const auto within = static_cast<std::size_t>(offset % page_size);
    if (within + out.size() > page_bytes) return refuse(SQLITE_IOERR_READ);
    if (out.size() == page_bytes) return read_page(page_number_at(offset), out);
    PlainPage plain;
    const int code = read_page(page_number_at(offset), plain);
    std::copy_n(plain.begin() + static_cast<std::ptrdiff_t>(within), out.size(), out.begin());
    protocol::wipe(plain);
    return code;
}

// Past the end: zeros and SHORT_READ. A page of zeros within the file is nothing that was ever sealed, so it is damage.
int MainFile::read_page(std::uint32_t page_number, MutableByteView plain) {
    int code = know_size();
    ByteView sealed;
    if (code == SQLITE_OK) sealed = ahead_.page(page_number, size_, code);
    if (code != SQLITE_OK) {
        std::fill(plain.begin(), plain.end(), std::uint8_t{0});
        if (code != SQLITE_IOERR_SHORT_READ) return code;
        if (keys_.to_salvage) return SQLITE_IOERR_DATA;
        std::int64_t size = 0;
        if (const int failed = file_.size(size); failed != SQLITE_OK) return failed;
        return size <= (std::int64_t{page_number} - 1) * page_size ? code : SQLITE_IOERR_DATA;
    }
    if (keys_.codec.open(page_number, sealed, plain)) return SQLITE_OK;
    std::fill(plain.begin(), plain.end(), std::uint8_t{0});
    return SQLITE_IOERR_DATA;
}

int MainFile::read_first_bytes(MutableByteView out) {
    PlainPage plain;
    const int code = read_page(1, plain);
    if (code != SQLITE_OK && code != SQLITE_IOERR_DATA) return code;
    if (code == SQLITE_IOERR_DATA) std::copy(sqlite_header.begin(), sqlite_header.end(), plain.begin());
    std::copy_n(plain.begin(), out.size(), out.begin());
    protocol::wipe(plain);
    return SQLITE_OK;
}

int MainFile::write(std::int64_t offset, ByteView bytes) {
    if (!in_range(offset) || offset % page_size != 0 || bytes.size() != page_bytes) return refuse(SQLITE_IOERR_WRITE);
    if (keys_.to_salvage) return SQLITE_READONLY;  // SQLite wants to bring the log home when it closes
    const std::uint32_t page_number = page_number_at(offset);
    const ByteView sealed = keys_.checkpoint.take_back(page_number, bytes);
    if (sealed.empty() && !may_be_sealed(page_number, bytes)) return refuse(SQLITE_IOERR_WRITE);
    ahead_.forget();
    if (keys_.sync_failed) return SQLITE_IOERR_FSYNC;
    if (const int code = know_size(); code != SQLITE_OK) return code;
    if (const int code = seal_gap(offset); code != SQLITE_OK) return code;
    if (sealed.empty()) return write_page(page_number, bytes);
    int code = SQLITE_OK;
    const MutableByteView room = take(page_number, code);
    if (code == SQLITE_OK) std::copy(sealed.begin(), sealed.end(), room.begin());
    return code;
}

int MainFile::write_page(std::uint32_t page_number, ByteView plain) {
    int code = SQLITE_OK;
    const MutableByteView sealed = take(page_number, code);
    if (code == SQLITE_OK) keys_.codec.seal(page_number, plain, keys_.nonces, sealed);
    return code;
}

MutableByteView MainFile::take(std::uint32_t page_number, int& code) {
    const std::int64_t offset = (std::int64_t{page_number} - 1) * page_size;
    const MutableByteView room = gather_.take(offset, page_bytes, code);
    size_ = code == SQLITE_OK ? std::max(size_, offset + page_size) : -1;
    return room;
}

// SQLite may leave out pages that it will never read; a hole would later read as damage.
int MainFile::seal_gap(std::int64_t until) {
    static constexpr PlainPage empty{};
    for (std::int64_t at = size_ / page_size * page_size; at < until; at += page_size) {
        if (const int code = write_page(page_number_at(at), empty); code != SQLITE_OK) return code;
    }
    return SQLITE_OK;
}

int MainFile::know_size() {
    if (size_ >= 0) return SQLITE_OK;
    return file_.size(size_);
}

int MainFile::flush() {
    const int code = gather_.flush();
    if (code != SQLITE_OK) size_ = -1;
    return code;
}

int MainFile::truncate(std::int64_t size) {
    if (size < page_size || size % page_size != 0) return refuse(SQLITE_IOERR_TRUNCATE);
    keys_.checkpoint.end();
    ahead_.forget();
    if (keys_.sync_failed) return SQLITE_IOERR_FSYNC;
    if (const int code = flush(); code != SQLITE_OK) return code;
    size_ = -1;
    return file_.truncate(size);
}

int MainFile::sync(int flags) {
    keys_.checkpoint.end();
    if (keys_.sync_failed) return SQLITE_IOERR_FSYNC;
    if (const int code = flush(); code != SQLITE_OK) return code;
    const int code = file_.sync(flags);
    keys_.sync_failed = code != SQLITE_OK;
    return code;
}

int MainFile::size(std::int64_t& out) {
    if (const int code = flush(); code != SQLITE_OK) return code;
    const int code = file_.size(out);
    if (code == SQLITE_OK && keys_.to_salvage) out = std::max(out, size_said());
    return code;
}

// By page 1, where SQLite keeps the number of pages; 0 if it does not open.
std::int64_t MainFile::size_said() {
    constexpr std::size_t count_at = 28;
    PlainPage first;
    const int code = read_page(1, first);
    std::uint32_t pages = 0;
    for (std::size_t i = 0; i < 4; ++i) pages = pages << 8 | first[count_at + i];  // zeros if it did not open
    protocol::wipe(first);
    return code == SQLITE_OK ? std::int64_t{pages} * page_size : 0;
}

void MainFile::checkpoint(bool begins) {
    if (begins) {
        keys_.checkpoint.begin();
    } else {
        keys_.checkpoint.end();
    }
}

}  // namespace ladderline::store::vault
