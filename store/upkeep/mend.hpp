#pragma once
// A store whose pages do not all open: what can be read and proven goes into a new database; the damaged one is kept
// beside it. Each log ends at its last good event, so that the rest comes again from peers by ordinary sync; everything
// said from then on goes into new logs.

#include "store/store.hpp"
#include "store/upkeep/progress.hpp"
#include "store/upkeep/stored_chain.hpp"

namespace ladderline::store {

struct CircleSalvage {
    protocol::CircleId circle;
    std::string name;  // empty if its founding event is lost
    std::uint64_t logs = 0;
    std::uint64_t kept = 0;  // events
    std::uint64_t lost = 0;  // that the logs should hold, as far as that is known
};

struct MendReport {
    std::vector<CircleSalvage> circles;
    std::uint64_t logs_lost = 0;            // whose row does not open, as far as their number is known
    std::vector<std::string> tables_short;  // of this node's own notes: invites, addresses of peers
    std::filesystem::path kept_as;          // the damaged file; empty: nothing was wrong, nothing changed

    std::uint64_t lost() const;
};

// Proves and copies every event of `from` into the empty, up-to-date `into`, through the ordinary door for events of
// peers. Keys, settings and identity first. damaged: the owner's keys do not open, so that `into` is of no use.
Result<MendReport> salvage(sqlite::Database& from, sqlite::Database& into, EventLog& log, const Progress& progress);

// Of the closed store in that folder, which the secret of any kind of slot opens. refused: every page opens and every
// chain is whole. damaged: nothing can be read, or not its owner's keys; then everything is as it was, as after any
// other error.
Result<MendReport> mend(Disk& disk, const std::filesystem::path& folder, vault::SlotType type, ByteView secret,
                        Random& random, std::vector<std::unique_ptr<ReadModel>> models, const Progress& progress);

}  // namespace ladderline::store
