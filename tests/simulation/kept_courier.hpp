#pragma once
// A courier with the production store: places with a quota, sealed events, no key. Its process and its power can end.

#include "store/courier/courier_desk.hpp"
#include "tests/simulation/machine.hpp"
#include "tests/simulation/station.hpp"

namespace ladderline::simulation {

class KeptCourier : public Station {
public:
    KeptCourier(std::string name, std::uint64_t seed);
    ~KeptCourier() override;

    bool is_up() const override { return open_ != nullptr; }
    protocol::LogView& view() override;
    KeptCourier* keeper() override { return this; }

    Result<void> start();
    void stop();
    void kill();
    void cut_power(Dice& dice);
    FolderCopy copy() const { return machine_.copy(); }
    void put_back(const FolderCopy& from, bool with_record);
    // The keeper gives the circle a place, larger than a world's events.
    Result<void> give_place(const protocol::CircleId& circle, WallTime now);

    std::vector<FolderCopy> backups;

private:
    struct Open;

    Dice random_;
    Machine machine_;
    std::unique_ptr<Open> open_;
};

}  // namespace ladderline::simulation
