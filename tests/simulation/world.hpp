#pragma once
// One network: people, their nodes, couriers, the conversations between them, and the time. Runs a plan and says
// whether everything held that must hold (oracle.hpp).

#include <deque>
#include <map>
#include <set>

#include "tests/simulation/link.hpp"
#include "tests/simulation/node.hpp"
#include "tests/simulation/plan.hpp"
#include "tests/simulation/story.hpp"

namespace ladderline::simulation {

struct Counts {
    std::size_t steps = 0;
    std::size_t events = 0;  // confirmed to their authors
    std::size_t evil = 0;    // written by dishonest members
    std::size_t grants = 0;  // that told somebody of a circle
    std::size_t sessions = 0;
    std::size_t messages = 0;
    std::size_t crashes = 0;
    std::size_t forks = 0;
    std::map<std::string, std::size_t> rows;  // what dishonest members did, by name
};

struct Outcome {
    std::string wrong;  // empty: all is well
    std::uint64_t trace = 0;
    Counts counts;
};

struct Circle {
    protocol::CircleId id;
    protocol::CircleKind kind = protocol::CircleKind::club;
};

// A part of a bundle on somebody's stick.
struct Parcel {
    Bytes part;
    std::size_t from = 0;
};

// Written by a liar and not told yet.
struct KeptBack {
    std::size_t owner = 0;
    protocol::CircleId circle;
    protocol::Run run;
};

class World {
public:
    World(const Plan& plan, Planted planted, Story* story);
    ~World();

    Outcome run();

    // For acts, byzantine, oracle.
    std::vector<std::unique_ptr<Station>> stations;
    std::vector<test::Person> people;  // by number; devices of nodes stand in the nodes
    std::vector<Circle> circles;
    std::vector<std::unique_ptr<Link>> links;
    std::deque<Parcel> parcels;
    std::vector<KeptBack> kept_back;
    std::set<protocol::EventId> excused;  // confirmed, and gone with a disk that went back in time
    WallTime now{1'764'000'000'000};
    std::size_t step = 0;
    Trace trace;
    Counts counts;
    Plan plan;

    Node& node(std::size_t number) { return *stations.at(number)->member(); }
    Node* node_at(std::size_t number) { return stations.at(number)->member(); }
    // A circle whose key the node holds; none if it is in none.
    const Circle* circle_of(Node& node, Dice& dice);
    // The first thing that went wrong stands.
    void fail(std::string sentence);
    bool failed() const { return !wrong_.empty(); }
    void tell(std::string sentence);
    // Events of the circle are new at that station: its other conversations hear of it.
    void news(Station& at, const protocol::CircleId& circle, const Link* except = nullptr);
    // Both ends hold the same: a new key may be due.
    void settled(Node& node, const protocol::CircleId& circle);
    // True if it told the node of a circle.
    bool took_grant(Node& node, const protocol::GrantMessage& grant, const protocol::DhPublic& peer);
    // A node whose disk failed stops and begins again.
    void disk_failed(Node& node);
    bool apart(std::size_t a, std::size_t b) const { return sides_.contains(a) != sides_.contains(b); }
    // A conversation, if the two may have one; none otherwise.
    Link* call(std::size_t caller, std::size_t called, Dice& dice);
    void hang_up(std::size_t station);
    std::size_t number_of(const Station& station) const;
    void heal();
    // After anything that may have ended conversations or broken a disk.
    void clear_up();

private:
    void build();
    void found_circles();
    void take(const Step& step);
    void take_network(const Step& step, Dice& dice);
    void take_machine(const Step& step, Dice& dice);
    void take_keeper(const Step& step, KeptCourier& keeper, Dice& dice);
    void add_couriers();
    void sweep();
    void clone(std::size_t who, Dice& dice);
    void restart(Node& node);
    void restart(KeptCourier& keeper);

    Planted planted_;
    Story* story_;
    std::string wrong_;
    std::set<std::size_t> broken_;  // whose disk failed in this step
    std::set<std::size_t> sides_;   // stations cut off from all others
    Dice dice_;
};

}  // namespace ladderline::simulation
