#include "tests/crash/life/small_files.hpp"

#include <algorithm>

#include "tests/support/store/no_failures.hpp"

namespace ladderline::test {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t sector_bytes = 512;

void write_into(Bytes& file, std::size_t offset, ByteView bytes) {
    file.resize(std::max(file.size(), offset + bytes.size()));
    std::copy(bytes.begin(), bytes.end(), file.begin() + static_cast<std::ptrdiff_t>(offset));
}

// Each sector by chance.
void write_torn(Bytes& file, std::size_t offset, ByteView bytes, SeededRandom& random) {
    for (std::size_t at = 0; at < bytes.size(); at += sector_bytes) {
        const std::size_t length = std::min(sector_bytes, bytes.size() - at);
        if (random.next() % 2 == 0) write_into(file, offset + at, bytes.subspan(at, length));
    }
}

}  // namespace

Result<void> SmallFiles::call(DiskCall kind) {
    if (vfs_.next_call(kind) == DiskFault::none) return ok();
    return Error{Fault::disk, "The disk failed, as the test asked; what was there before is kept. Try again."};
}

void SmallFiles::change(const std::string& path, std::optional<Bytes> bytes, bool torn) {
    if (bytes) {
        now_[path] = *bytes;
    } else {
        now_.erase(path);
    }
    unsynced_.push_back({path, std::move(bytes), torn});
}

Result<void> SmallFiles::sync_folder() {
    TRY(call(DiskCall::sync));
    synced_ = now_;
    unsynced_.clear();
    return ok();
}

Result<bool> SmallFiles::exists(const fs::path& path) {
    const NoFailures quiet;
    TRY(call(DiskCall::look));
    return now_.contains(path.string());
}

Result<Bytes> SmallFiles::read(const fs::path& path) {
    const NoFailures quiet;
    TRY(call(DiskCall::look));
    const auto found = now_.find(path.string());
    if (found == now_.end()) return Error{Fault::not_found, path.string() + " is not there."};
    return found->second;
}

// The steps of store::RealDisk: write beside, sync, rename, sync of the folder.
Result<void> SmallFiles::write_atomically(const fs::path& path, ByteView bytes) {
    const NoFailures quiet;
    const std::string beside = path.string() + ".new";
    const auto step = [&](DiskCall kind) {
        Result<void> outcome = call(kind);
        if (!outcome) change(beside, std::nullopt, false);
        return outcome;
    };
    TRY(step(DiskCall::change));
    change(beside, to_bytes(bytes), true);
    TRY(step(DiskCall::sync));
    unsynced_.back().torn = false;
    TRY(step(DiskCall::change));
    change(path.string(), to_bytes(bytes), false);
    change(beside, std::nullopt, false);
    return sync_folder();
}

Result<void> SmallFiles::patch(const fs::path& path, std::size_t offset, ByteView bytes, bool flush) {
    const NoFailures quiet;
    TRY(call(DiskCall::change));
    const std::string name = path.string();
    write_into(now_[name], offset, bytes);
    unsynced_.push_back({name, to_bytes(bytes), false, offset});
    if (!flush) return ok();
    TRY(call(DiskCall::sync));
    synced_[name] = now_[name];
    std::erase_if(unsynced_, [&](const Change& change) { return change.path == name; });
    return ok();
}

Result<void> SmallFiles::remove(const fs::path& path) {
    const NoFailures quiet;
    TRY(call(DiskCall::change));
    change(path.string(), std::nullopt, false);
    return sync_folder();
}

Result<std::vector<std::string>> SmallFiles::list(const fs::path& folder) {
    const NoFailures quiet;
    TRY(call(DiskCall::look));
    std::vector<std::string> names;
    for (const auto& [path, bytes] : now_) {
        if (fs::path(path).parent_path() == folder) names.push_back(fs::path(path).filename().string());
    }
    return names;
}

Result<void> SmallFiles::make_folder(const fs::path&) {
    const NoFailures quiet;
    return call(DiskCall::change);
}

Files SmallFiles::after_power_cut(SeededRandom& random) const {
    Files out = synced_;
    for (const Change& change : unsynced_) {
        if (random.next() % 2 == 0) continue;
        if (!change.bytes) {
            out.erase(change.path);
            continue;
        }
        if (change.patch_at) {
            write_torn(out[change.path], *change.patch_at, *change.bytes, random);
            continue;
        }
        Bytes bytes = *change.bytes;
        if (change.torn) bytes.resize(random.next() % (bytes.size() + 1));
        out[change.path] = std::move(bytes);
    }
    return out;
}

}  // namespace ladderline::test
