#pragma once
// The disk of small files in memory; its Nth call can be made to fail.

#include <map>

#include "store/disk.hpp"

namespace ladderline::test {

class MemoryDisk : public store::Disk {
public:
    Result<bool> exists(const std::filesystem::path& path) override;
    Result<Bytes> read(const std::filesystem::path& path) override;
    Result<void> write_atomically(const std::filesystem::path& path, ByteView bytes) override;
    Result<void> patch(const std::filesystem::path& path, std::size_t offset, ByteView bytes, bool flush) override;
    Result<void> remove(const std::filesystem::path& path) override;
    Result<std::vector<std::string>> list(const std::filesystem::path& folder) override;
    Result<void> make_folder(const std::filesystem::path& folder) override;

    // Call number `call` from now (the first is 1) fails, once. 0: never.
    void fail_at(int call) {
        calls_ = 0;
        fail_at_ = call;
    }
    // Since the start or the last fail_at().
    int calls() const { return calls_; }

    // To look at and to change.
    std::map<std::filesystem::path, Bytes> files;

private:
    Result<void> next_call();

    int calls_ = 0;
    int fail_at_ = 0;
    std::map<std::filesystem::path, bool> folders_;
};

}  // namespace ladderline::test
