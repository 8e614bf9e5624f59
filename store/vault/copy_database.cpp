#include "store/vault/copy_database.hpp"

#include <sqlite3.h>

#include <utility>

#include "store/sqlite/checkpoint.hpp"
#include "store/sqlite/error.hpp"
#include "store/vault/database_files.hpp"
#include "store/vault/file_header.hpp"
#include "store/vault/write_gather.hpp"

namespace ladderline::store::vault {
namespace {

constexpr auto page_size = static_cast<std::int64_t>(page_bytes);

Result<void> checked(int code) {
    if (code == SQLITE_OK) return ok();
    return sqlite::error_of(code, nullptr);
}

// The clear header is left zero: written last, it makes the copy complete.
Result<void> copy_pages(BaseFile& from, const PageCodec& from_codec, BaseFile& to, const PageCodec& to_codec,
                        Random& random, const Progress& progress) {
    std::int64_t size = 0;
    TRY(checked(from.size(size)));
    if (size % page_size != 0) return sqlite::error_of(SQLITE_CORRUPT, nullptr);
    NonceSource nonces(random);
    WriteGather gather(to);
    PlainPage page;
    PlainPage plain;
    for (std::int64_t at = 0; at < size; at += page_size) {
        const auto page_number = static_cast<std::uint32_t>(at / page_size + 1);
        if (!goes_on(progress, page_number, static_cast<std::uint64_t>(size / page_size))) {
            return Error{Fault::cancelled, "Stopped; no copy was made and nothing was changed."};
        }
        TRY(checked(from.read(at, page)));
        if (!from_codec.open(page_number, page, plain)) return sqlite::error_of(SQLITE_CORRUPT, nullptr);
        int code = SQLITE_OK;
        const MutableByteView sealed = gather.take(at, page_bytes, code);
        TRY(checked(code));
        to_codec.seal(page_number, plain, nonces, sealed);
        if (page_number == 1) std::fill_n(sealed.begin(), header_bytes, std::uint8_t{0});
    }
    protocol::wipe(plain);
    TRY(checked(gather.flush()));
    return checked(to.sync(SQLITE_SYNC_NORMAL));
}

Result<void> write_copy(BaseVfs vfs, const std::string& source, const protocol::AeadKey& key, const std::string& target,
                        const protocol::AeadKey& target_key, Random& random, const Progress& progress) {
    TRY(BaseFile from, BaseFile::open_path(vfs, source, SQLITE_OPEN_READWRITE | SQLITE_OPEN_MAIN_DB));
    FileHeader from_header;
    TRY(checked(from.read(0, from_header)));
    TRY(check_file_header(from_header, key));
    TRY(BaseFile to,
        BaseFile::open_path(vfs, target, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_MAIN_DB));
    const FileHeader to_header = make_file_header(target_key, random);
    TRY(copy_pages(from, PageCodec(from_header, key), to, PageCodec(to_header, target_key), random, progress));
    TRY(checked(to.write(0, to_header)));
    return checked(to.sync(SQLITE_SYNC_NORMAL));
}

}  // namespace

DatabaseCopy::DatabaseCopy(sqlite::Database& open, std::string source, std::string target, protocol::AeadKey key,
                           protocol::AeadKey target_key, const OpenOptions& options)
    : open_(&open),
      source_(std::move(source)),
      target_(std::move(target)),
      key_(std::move(key)),
      target_key_(std::move(target_key)),
      base_vfs_(options.base_vfs),
      random_(options.random) {}

DatabaseCopy::DatabaseCopy(DatabaseCopy&& other) noexcept
    : open_(std::exchange(other.open_, nullptr)),
      source_(std::move(other.source_)),
      target_(std::move(other.target_)),
      key_(std::move(other.key_)),
      target_key_(std::move(other.target_key_)),
      base_vfs_(std::move(other.base_vfs_)),
      random_(other.random_) {}

DatabaseCopy::~DatabaseCopy() {
    if (open_ != nullptr) sqlite3_wal_autocheckpoint(open_->handle(), log_pages_max);
}

Result<DatabaseCopy> DatabaseCopy::begin(sqlite::Database& open, const protocol::AeadKey& key,
                                         const std::filesystem::path& target, const protocol::AeadKey& target_key,
                                         const OpenOptions& options) {
    ENSURE(!open.in_transaction());
    TRY(const BaseVfs vfs, find_vfs(options.base_vfs));
    TRY(std::string target_path, full_path(vfs, target));
    int found = 0;
    TRY(checked(vfs->xAccess(vfs, target_path.c_str(), SQLITE_ACCESS_EXISTS, &found)));
    if (found != 0) {
        return Error{Fault::refused,
                     "There is a file at " + target_path + " already; nothing was changed. Choose another name."};
    }
    TRY(sqlite::empty_the_log(open, "no copy was made"));
    sqlite3_wal_autocheckpoint(open.handle(), 0);
    return DatabaseCopy(open, sqlite3_db_filename(open.handle(), "main"), std::move(target_path),
                        protocol::AeadKey::copy_of(key.view()), protocol::AeadKey::copy_of(target_key.view()), options);
}

Result<void> DatabaseCopy::write(const Progress& progress) {
    TRY(const BaseVfs vfs, find_vfs(base_vfs_));
    Result<void> outcome = write_copy(vfs, source_, key_, target_, target_key_, random_, progress);
    if (outcome) make_private(target_, base_vfs_);
    if (!outcome) vfs->xDelete(vfs, target_.c_str(), 1);
    return outcome;
}

Result<void> copy_database(sqlite::Database& open, const protocol::AeadKey& key, const std::filesystem::path& target,
                           const protocol::AeadKey& target_key, const OpenOptions& options, const Progress& progress) {
    TRY(DatabaseCopy copy, DatabaseCopy::begin(open, key, target, target_key, options));
    return copy.write(progress);
}

}  // namespace ladderline::store::vault
