#pragma once
// What a station's store lies on: a disk for the database and one for small files. Both keep what a process gave them,
// and lose at a power cut what was not flushed.

#include <memory>

#include "store/sqlite/database.hpp"
#include "store/upkeep/instance.hpp"
#include "tests/simulation/small_disk.hpp"
#include "tests/support/store/memory_vfs.hpp"

namespace ladderline::simulation {

struct FolderCopy {
    test::Files database;
    SmallDisk::Files small;
};

class Machine {
public:
    explicit Machine(test::Files database) : vfs_(std::make_unique<test::MemoryVfs>(std::move(database))) {}

    // A database with the tables of today.
    static const test::Files& empty_store();

    Result<store::sqlite::Database> open(Random& random);
    // Whether it is the database that was open last; otherwise it goes on as another instance.
    Result<std::unique_ptr<store::WaterKeeper>> watch(store::sqlite::Database& db, Random& random);

    // Precondition of all three: nothing is open.
    void kill();
    void cut_power(Dice& dice);
    // The record of what was written last goes back in time, too, or stays.
    void put_back(const FolderCopy& from, bool with_record);

    FolderCopy copy() const { return {vfs_->files(), small_.files}; }
    test::MemoryVfs& disk() { return *vfs_; }

private:
    void replace(FolderCopy with);

    std::unique_ptr<test::MemoryVfs> vfs_;
    SmallDisk small_;
};

}  // namespace ladderline::simulation
