#pragma once
// A conversation between two stations: the production sessions at its ends, and the wire between them. Messages stay in
// order within a direction, as a stream's do; how long they take, and where the wire is cut, the dice decide.

#include <deque>
#include <memory>
#include <optional>
#include <set>

#include "protocol/handshake/connection.hpp"
#include "protocol/sync/session.hpp"
#include "store/circles/wrap_shelf.hpp"
#include "tests/simulation/dice.hpp"
#include "tests/simulation/station.hpp"

namespace ladderline::simulation {

class World;

// One end. With `connection` the wire carries sealed bytes in pieces of any size; without it whole messages.
struct End {
    Station* station = nullptr;
    std::vector<protocol::CircleId> circles;
    protocol::DhPublic peer;
    std::optional<protocol::Session> session;
    std::unique_ptr<store::StoreShelf> shelf;
    std::unique_ptr<protocol::WrapBook> book;
    std::optional<protocol::Connection> connection;
    std::deque<Bytes> wire;  // under way to the other end
    std::set<protocol::CircleId> unsettled;
};

class Link {
public:
    // Ready to carry on, or over if an end refused.
    Link(World& world, Station& caller, Station& called, bool sealed, Dice& dice);

    bool is_over() const { return over_; }
    bool joins(const Station& station) const { return ends_[0].station == &station || ends_[1].station == &station; }
    bool in_step() const;
    // One small thing: a message is said, or arrives. False if there was nothing to do.
    bool move(Dice& dice);
    // Until nothing is left to say.
    void finish(Dice& dice);
    void cut() { over_ = true; }
    void say_goodbye();
    void on_news(const Station& at, const protocol::CircleId& circle);

private:
    void begin_end(std::size_t which, protocol::Session::Side side, ByteView binding);
    bool speak(std::size_t which);
    bool hear(std::size_t which, Dice& dice);
    bool hear_bytes(End& end, const Bytes& bytes);
    void on_message(End& end, const Bytes& message);
    void after_message(End& end);
    void ask_for_keys(End& end, const protocol::CircleId& circle);
    void send(End& end, Bytes message);
    void flush(End& end);
    void ended_by(End& end, const Error& error);
    std::size_t number_of(const End& end) const { return static_cast<std::size_t>(&end - ends_); }

    World& world_;
    End ends_[2];
    Bytes binding_;
    MonoTime mono_{0};
    bool over_ = false;
};

// The circles over which a station talks with the holder of that key.
std::vector<protocol::CircleId> shared_circles(World& world, Station& at, const Station& with);

}  // namespace ladderline::simulation
