#pragma once
// Takes the parts of bundles in, in any order, any of them twice.

#include "store/carry/bundle_out.hpp"

namespace ladderline::store {

// One part that was read, wholly or up to where it was spoiled.
struct TakenIn {
    struct Carried {
        protocol::LogId log;
        std::uint64_t first_seq = 0;
        std::uint64_t next_seq = 0;
    };

    protocol::BundleHead head;
    bool new_key = false;                // the part brought a later key of a known circle
    std::uint64_t events = 0;            // new here, and stored
    std::size_t runs_waiting = 0;        // begin past what is held here
    std::vector<std::uint16_t> missing;  // if some wait: earlier parts of the bundle that were not read yet
    std::size_t runs_forked = 0;         // of logs that hold something else here
    std::size_t new_forks = 0;           // proofs of such logs that were not known here
    std::size_t logs_left = 0;           // runs and proofs of new logs that the circle has no room for (sync/room.hpp)
    bool in_step = false;                // this node now holds just what the writer held
    std::vector<Carried> runs;           // what was in it, waiting or not
    std::optional<std::vector<protocol::LogHead>> holds;
    std::optional<Error> spoiled;  // why the rest could not be read; what is counted above is stored
};

// Takes one part in, a piece of it a step, for whoever has more to do in between. What a step stores is one
// transaction; members are worked out now and then, and at the end. Where it is left before that, what was stored
// stays, and what is still to be worked out is as after a sync that was cut off: done by the next opening, or by who
// writes or syncs next.
class TakingIn {
public:
    // `store` outlives it.
    TakingIn(const CarryStore& store, Bytes part);
    TakingIn(TakingIn&&) noexcept;
    ~TakingIn();

    // False: it is over. Errors: as take_in; then it is over too.
    Result<bool> step();
    // Precondition: step() said false.
    TakenIn result() &&;

private:
    struct State;
    std::unique_ptr<State> state_;
};

// All steps at once. Errors: disk and the like, as append_run; and of the part itself those of protocol::BundleReader
// where not even its head could be read. refused: a circle's key from somebody unknown.
Result<TakenIn> take_in(const CarryStore& store, ByteView part);

// "part 2 of bundle 3f9a12c4"
std::string part_name(const protocol::BundleHead& head);
// What still has to come, as one sentence; empty if nothing has.
std::string what_is_missing(const TakenIn& part);

}  // namespace ladderline::store
