#pragma once
// A sealed copy of the store, made beside the node's other work.

#include <cstdint>
#include <filesystem>
#include <string>

#include "protocol/base/result.hpp"

namespace ladderline::node {

struct CopyState {
    bool is_running = false;
    std::filesystem::path folder;  // of the one that runs
    std::uint64_t done = 0;        // pieces of `total`
    std::uint64_t total = 0;       // 0: not known yet
    bool is_being_proven = false;  // all pieces are there; the copy is read again
    std::string said;              // how the latest one of this run of the program ended; empty: none yet
    bool went_well = false;
};

class CopyWork {
public:
    virtual ~CopyWork() = default;
    // Into a folder of its own below the store's. busy: one is being made. Errors as store/upkeep/backup.hpp.
    virtual Result<void> begin() = 0;
    // Nothing is left of it. Nothing to do where none runs.
    virtual void stop() = 0;
    virtual CopyState state() const = 0;
};

// The live topic of how far it is.
inline constexpr const char* copy_topic = "copy";
// Finished copies that are kept below the store's folder; when there is one more, the oldest goes.
inline constexpr std::size_t copies_kept = 3;

}  // namespace ladderline::node
