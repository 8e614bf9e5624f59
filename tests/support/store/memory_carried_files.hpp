#pragma once
// A carried folder in memory; from its Nth writing call on, its disk can be full.

#include <map>

#include "store/carry/carried_files.hpp"

namespace ladderline::test {

class MemoryCarriedFiles : public store::CarriedFiles {
public:
    Result<std::filesystem::path> real_path(const std::filesystem::path& path) override {
        return path.lexically_normal();
    }
    Result<bool> exists(const std::filesystem::path& path) override { return files.contains(path); }
    Result<bool> is_folder(const std::filesystem::path& path) override { return path == folder; }
    Result<std::vector<std::string>> list(const std::filesystem::path& where, std::string_view ending,
                                          std::size_t count_max) override {
        if (where != folder) return Error{Fault::not_found, where.string() + " is not there."};
        std::vector<std::string> names;
        for (const auto& [path, bytes] : files) {
            if (path.parent_path() != where || names.size() >= count_max) continue;
            if (path.filename().string().ends_with(ending)) names.push_back(path.filename().string());
        }
        return names;
    }
    Result<Bytes> read(const std::filesystem::path& path, std::size_t bytes_max) override {
        ++reads;
        const auto found = files.find(path);
        if (found == files.end()) return Error{Fault::not_found, path.string() + " is not there."};
        if (found->second.size() > bytes_max) return Error{Fault::bad_input, path.string() + " is too large."};
        return found->second;
    }
    Result<void> write(const std::filesystem::path& path, ByteView bytes) override {
        if (++writes >= full_from && full_from > 0) return Error{Fault::disk, "There is no room left."};
        files[path] = to_bytes(bytes);
        return ok();
    }
    Result<void> remove(const std::filesystem::path& path) override {
        files.erase(path);
        return ok();
    }

    std::filesystem::path folder = "/stick";
    std::map<std::filesystem::path, Bytes> files;
    int reads = 0;
    int writes = 0;
    int full_from = 0;  // 0: never
};

}  // namespace ladderline::test
