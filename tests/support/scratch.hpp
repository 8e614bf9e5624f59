#pragma once
// Folders for files of tests: below $LADDERLINE_TEST_SCRATCH, where they stay until the run has searched all of them
// (tests/crash/marker_scan.sh), or below the system's temporary folder, gone with the object.

#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>

namespace ladderline::test {

class ScratchFolder {
public:
    // `name` says in the folder's name whose it is.
    explicit ScratchFolder(const std::string& name = "store") {
        const char* root = std::getenv("LADDERLINE_TEST_SCRATCH");
        keep_ = root != nullptr && *root != '\0';
        const std::filesystem::path below =
            keep_ ? std::filesystem::path(root) : std::filesystem::temp_directory_path();
        std::filesystem::create_directories(below);
        std::string made = (below / ("ladderline-" + name + ".XXXXXX")).string();
        if (mkdtemp(made.data()) == nullptr) throw std::runtime_error("no temporary folder can be made");
        path_ = made;
    }
    ~ScratchFolder() {
        std::error_code ignored;
        if (!keep_) std::filesystem::remove_all(path_, ignored);
    }
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;

    const std::filesystem::path& path() const { return path_; }
    std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

private:
    std::filesystem::path path_;
    bool keep_ = false;
};

}  // namespace ladderline::test
