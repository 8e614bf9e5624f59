#pragma once
// A member's node: the production store on a disk that can fail, with the read models of the pages.

#include <functional>
#include <map>
#include <memory>
#include <vector>

#include "node/read_models/club_model.hpp"
#include "node/read_models/contact_model.hpp"
#include "node/read_models/desk_model.hpp"
#include "node/read_models/ladder_model.hpp"
#include "store/circles/known_states.hpp"
#include "store/identity/identity.hpp"
#include "tests/simulation/dice.hpp"
#include "tests/simulation/machine.hpp"
#include "tests/simulation/station.hpp"
#include "tests/support/protocol/person.hpp"

namespace ladderline::simulation {

// An event whose writing was confirmed to its author.
struct Acknowledged {
    protocol::CircleId circle;
    protocol::EventId id;
};

// Planted mistakes that a canary looks for; none in every other run.
enum class Planted : std::uint8_t { none, loses_logs, asks_the_clock, order_dependent_model };

class Node : public Station {
public:
    Node(std::string name, std::size_t owner, const test::Person& person, std::uint64_t seed, Planted planted);
    ~Node() override;

    bool is_up() const override { return open_ != nullptr; }
    protocol::LogView& view() override { return *view_; }
    Node* member() override { return this; }

    Result<void> start();
    void stop();
    // The process ends; the disk keeps what it was given.
    void kill();
    // What was not synced is lost, in part, or torn.
    void cut_power(Dice& dice);
    FolderCopy copy() const { return machine_.copy(); }
    void put_back(const FolderCopy& from, bool with_record);

    store::EventLog& log();
    store::sqlite::Database& db();
    store::KnownStates& states();
    const std::vector<store::ReadModel*>& models() const { return models_; }
    test::MemoryVfs& disk() { return machine_.disk(); }
    Random& random() { return random_; }

    // What this node's clock says.
    WallTime clock(WallTime now) { return clock_ = {now.ms + skew_ms}; }

    const std::size_t owner;  // whose device it is: a number among the people
    const store::Identity me;
    test::Person person;
    std::int64_t skew_ms = 0;
    bool is_byzantine = false;
    bool was_put_back = false;  // or copied: some of what it confirmed may be gone with the disk
    std::vector<Acknowledged> acknowledged;
    std::vector<FolderCopy> backups;
    std::map<protocol::CircleId, protocol::DhPublic> welcomed;  // by whom, last, as long as its store knows it

private:
    struct Open;

    Dice random_;
    Planted planted_;
    WallTime clock_;
    Machine machine_;
    std::vector<std::unique_ptr<store::ReadModel>> own_models_;
    std::vector<store::ReadModel*> models_;
    std::unique_ptr<Open> open_;
    std::unique_ptr<protocol::LogView> own_view_;
    protocol::LogView* view_ = nullptr;
};

}  // namespace ladderline::simulation
