#pragma once
// What to put into a bundle, and for whom.

#include <functional>

#include "protocol/sync/bundle.hpp"
#include "store/identity/identity.hpp"

namespace ladderline::store {

struct CarryReaderTag;
using CarryReader = FixedBytes<CarryReaderTag, 32>;  // for whom news was put in; all zeros: anybody in the circle

struct CarryStore {
    sqlite::Database& db;
    EventLog& log;
    const Identity& me;
};

struct BundleOrder {
    protocol::CircleId circle;
    CarryReader for_whom;
    std::optional<protocol::MemberId> reader;  // named in the bundle
    bool everything = false;                   // also what was put in before
    // Sealed to this box key, with the circle's key in it, for a device that has none; otherwise under the circle's
    // key.
    std::optional<protocol::DhPublic> device;
};

struct PutIn {
    std::size_t parts = 0;  // 0: nothing is new for that reader
    std::uint64_t events = 0;
    std::size_t logs_left = 0;  // of which a stretch is too large for a frame: it and what follows it is not in
    bool repeats = false;       // the tenth bundle: what was put in during the last 30 days is in it again
};

// Takes a finished part away; an error of it ends the writing.
using PutPart = std::function<Result<void>(Bytes part)>;

// A sentence for people where logs were left; empty otherwise.
std::string in_words_left(std::size_t logs_left);

// Everything that the reader lacks by what was put into earlier bundles for them; that is only an optimisation, and
// every tenth bundle repeats the last 30 days. Remembered once all parts are put. `now`: what the clock says.
// not_found: no key of that circle.
Result<PutIn> write_bundle(const CarryStore& store, const BundleOrder& order, WallTime now, Random& random,
                           const PutPart& put);

// A part without runs that tells what this node holds of the circle; for head files.
Result<Bytes> write_holds(const CarryStore& store, const protocol::CircleId& circle, Random& random);

// Events of the log before `next_seq` are known to be where that reader finds them.
Result<void> remember_carried(sqlite::Database& db, const protocol::CircleId& circle, const CarryReader& for_whom,
                              const protocol::LogId& log, std::uint64_t next_seq, WallTime now);
// The largest next_seq remembered; 0 if none is.
Result<std::uint64_t> carried_until(sqlite::Database& db, const protocol::CircleId& circle, const CarryReader& for_whom,
                                    const protocol::LogId& log);

}  // namespace ladderline::store
