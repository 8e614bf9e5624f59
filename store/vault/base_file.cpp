#include "store/vault/base_file.hpp"

#include <cstddef>

#include "store/sqlite/error.hpp"

namespace ladderline::store::vault {

BaseFile BaseFile::open(sqlite3_vfs* vfs, const char* name, int flags, int* flags_out, int& code) {
    BaseFile file;
    const std::size_t units =
        (static_cast<std::size_t>(vfs->szOsFile) + sizeof(std::max_align_t) - 1) / sizeof(std::max_align_t);
    file.memory_ = std::make_unique<std::max_align_t[]>(units);
    code = vfs->xOpen(vfs, name, file.raw(), flags, flags_out);
    return file;
}

Result<BaseFile> BaseFile::open_path(sqlite3_vfs* vfs, const std::string& path, int flags) {
    Name name(sqlite3_create_filename(path.c_str(), "", "", 0, nullptr), sqlite3_free_filename);
    if (name == nullptr) return sqlite::error_of(SQLITE_NOMEM, nullptr);
    int code = SQLITE_OK;
    int flags_out = 0;
    BaseFile file = open(vfs, name.get(), flags, &flags_out, code);
    if (code != SQLITE_OK) return sqlite::error_of(code, nullptr);
    file.name_ = std::move(name);
    return file;
}

BaseFile::~BaseFile() {
    if (memory_ != nullptr && raw()->pMethods != nullptr) raw()->pMethods->xClose(raw());
}

int BaseFile::read(std::int64_t offset, MutableByteView out) {
    return raw()->pMethods->xRead(raw(), out.data(), static_cast<int>(out.size()), offset);
}

int BaseFile::write(std::int64_t offset, ByteView bytes) {
    return raw()->pMethods->xWrite(raw(), bytes.data(), static_cast<int>(bytes.size()), offset);
}

int BaseFile::truncate(std::int64_t size) {
    return raw()->pMethods->xTruncate(raw(), size);
}

int BaseFile::sync(int flags) {
    return raw()->pMethods->xSync(raw(), flags);
}

int BaseFile::size(std::int64_t& out) {
    sqlite3_int64 size = 0;
    const int code = raw()->pMethods->xFileSize(raw(), &size);
    if (code == SQLITE_OK) out = size;
    return code;
}

}  // namespace ladderline::store::vault
