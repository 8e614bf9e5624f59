#pragma once
// The database file: sealed pages, one after another.

#include "store/vault/read_ahead.hpp"
#include "store/vault/sealed_file.hpp"
#include "store/vault/write_gather.hpp"

namespace ladderline::store::vault {

// Writes are whole pages at page boundaries, anything else is refused. During a checkpoint the pages are those that the
// log handed out. Reads may be any part of one page (SQLite asks for 100 bytes at 0, 16 bytes at 24, and parts of
// overflow pages). A page that does not open is SQLITE_IOERR_DATA, with one exception: of page 1 the first 100 bytes
// are answered with the constant header and zeros, because SQLite asks for them before it looks into the log that mends
// a torn page 1. In a database that is salvaged what lies past the end does not open either, and nothing is written.
class MainFile : public SealedFile {
public:
    // `keys` outlives this.
    MainFile(BaseFile file, VaultKeys& keys) : file_(std::move(file)), gather_(file_), ahead_(file_), keys_(keys) {}

    int read(std::int64_t offset, MutableByteView out) override;
    int write(std::int64_t offset, ByteView bytes) override;
    int truncate(std::int64_t size) override;
    int sync(int flags) override;
    int size(std::int64_t& out) override;
    void checkpoint(bool begins) override;
    BaseFile& base() override { return file_; }

private:
    int read_page(std::uint32_t page_number, MutableByteView plain);
    int read_first_bytes(MutableByteView out);
    int seal_gap(std::int64_t until);
    std::int64_t size_said();
    int write_page(std::uint32_t page_number, ByteView plain);
    // Room for this page in the next write.
    MutableByteView take(std::uint32_t page_number, int& code);
    int know_size();
    int flush();

    BaseFile file_;
    WriteGather gather_;
    ReadAhead ahead_;
    VaultKeys& keys_;
    // Bytes of the file, gathered ones included; -1: not asked yet.
    std::int64_t size_ = -1;
};

}  // namespace ladderline::store::vault
