#pragma once
// A node's store and one connection of it, in a process of its own.

#include <filesystem>

#include "node/read_models/club_model.hpp"
#include "node/read_models/contact_model.hpp"
#include "node/read_models/desk_model.hpp"
#include "node/read_models/ladder_model.hpp"
#include "protocol/handshake/connection.hpp"
#include "protocol/sync/session.hpp"
#include "store/circles/circle_model.hpp"
#include "store/courier/courier_model.hpp"
#include "tests/bench/sync/world.hpp"

namespace ladderline::bench {

// getrandom(2).
class SystemRandom : public Random {
public:
    void fill(MutableByteView out) override;
};

// The encrypted database with everything that a node keeps beside the events; no keys on disk, for measuring alone.
class Node {
public:
    explicit Node(const std::filesystem::path& folder);
    store::sqlite::Database& db() { return db_; }
    store::EventLog& log() { return log_; }

private:
    SystemRandom random_;
    store::sqlite::Database db_;
    store::CircleModel circles_;
    node::LadderModel ladder_;
    node::ContactModel contacts_;
    node::ClubModel club_;
    node::DeskModel desk_;
    store::CourierModel courier_;
    store::EventLog log_;
};

// The value, or the sentence as an exception.
template <class T>
T must(Result<T> result) {
    if (!result) throw std::runtime_error(result.error().sentence());
    if constexpr (!std::is_void_v<T>) return std::move(result).value();
}

// Plain numbers: they travel through a pipe.
struct Measured {
    double people_s = -1;   // until every member was there
    double half_s = -1;     // until half of the logs counted
    double in_step_s = -1;  // until the roots were found equal
    double cpu_s = 0;       // of this process, from the first byte on
    std::uint64_t bytes_in = 0;
    std::uint64_t bytes_out = 0;
    std::uint64_t run_bytes_again = 0;  // of runs that brought nothing new
    std::uint64_t flights = 0;          // changes of direction
    std::uint64_t idle_kib = 0;         // memory at the beginning
    std::uint64_t peak_kib = 0;
};

// Syncs the world's circle over the socket until both are in step, or until so many bytes came in. The caller says bye.
Measured call(Node& node, const World& world, int socket, std::uint64_t bytes_in_max);
// Serves one caller until the socket ends.
void answer(Node& node, const World& world, int socket);

}  // namespace ladderline::bench
