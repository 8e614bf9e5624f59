#pragma once
// A folder of plain files that is there whole or not at all.

#include <filesystem>
#include <memory>
#include <string_view>

#include "protocol/base/result.hpp"

namespace ladderline::store {

// Written beside its place, in a folder of that name with ".part" (mode 0700), and put there when it is whole. Unless
// it was kept, the object's end removes it.
class FolderDraft {
public:
    // refused: `target` is there and is no empty folder, or ".part" is there. disk.
    static Result<std::unique_ptr<FolderDraft>> begin(const std::filesystem::path& target);
    ~FolderDraft();
    FolderDraft(const FolderDraft&) = delete;
    FolderDraft& operator=(const FolderDraft&) = delete;

    // Where a file is to be written whose text is not in memory; sync() it afterwards.
    std::filesystem::path file(std::string_view name) const { return part_ / name; }
    Result<void> sync(std::string_view name) const;
    // The sentence for such a file that the disk did not take.
    Error failed(std::string_view name) const;

    Result<void> write(std::string_view name, std::string_view text) const;
    // An empty folder in its place is replaced; one that has been filled meanwhile is not.
    Result<void> keep();

private:
    FolderDraft(std::filesystem::path target, std::filesystem::path part)
        : target_(std::move(target)), part_(std::move(part)) {}

    std::filesystem::path target_;
    std::filesystem::path part_;
    bool kept_ = false;
};

}  // namespace ladderline::store
