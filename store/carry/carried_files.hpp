#pragma once
// The door to folders that other people and programs write into too: a USB stick, a folder of a sync engine. Nothing
// found there is trusted, and nothing there is waited for. Files of the store itself go through disk.hpp.

#include <filesystem>
#include <string>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "protocol/base/result.hpp"

namespace ladderline::store {

// Errors: disk, with a sentence that names the path; others where said.
class CarriedFiles {
public:
    virtual ~CarriedFiles() = default;

    // The path without links and dots; what does not exist of it is kept as it stands. Absolute.
    virtual Result<std::filesystem::path> real_path(const std::filesystem::path& path) = 0;
    virtual Result<bool> exists(const std::filesystem::path& path) = 0;
    virtual Result<bool> is_folder(const std::filesystem::path& path) = 0;
    // Names of plain files that end so, sorted; at most `count_max`, whichever the system names first. not_found if the
    // folder is not there.
    virtual Result<std::vector<std::string>> list(const std::filesystem::path& folder, std::string_view ending,
                                                  std::size_t count_max) = 0;
    // A whole plain file. not_found; bad_input if it is larger, or no plain file.
    virtual Result<Bytes> read(const std::filesystem::path& path, std::size_t bytes_max) = 0;
    // Written under another name that no reader looks at, synced, then renamed; readable by everybody. Replaces a file
    // of that name. Nothing is left behind on failure.
    virtual Result<void> write(const std::filesystem::path& path, ByteView bytes) = 0;
    // Succeeds also if nothing is there.
    virtual Result<void> remove(const std::filesystem::path& path) = 0;
};

class RealCarriedFiles : public CarriedFiles {
public:
    Result<std::filesystem::path> real_path(const std::filesystem::path& path) override;
    Result<bool> exists(const std::filesystem::path& path) override;
    Result<bool> is_folder(const std::filesystem::path& path) override;
    Result<std::vector<std::string>> list(const std::filesystem::path& folder, std::string_view ending,
                                          std::size_t count_max) override;
    Result<Bytes> read(const std::filesystem::path& path, std::size_t bytes_max) override;
    Result<void> write(const std::filesystem::path& path, ByteView bytes) override;
    Result<void> remove(const std::filesystem::path& path) override;
};

// Whether `inner` is `outer` or lies somewhere below it. Both as real_path gives them.
bool is_inside(const std::filesystem::path& inner, const std::filesystem::path& outer);

}  // namespace ladderline::store
