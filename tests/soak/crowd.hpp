#pragma once
// Five nodes of one club and a courier, as real processes whose connections all go through a FaultProxy.

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "tests/soak/fault_proxy.hpp"
#include "tests/support/program/program.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::soak {

constexpr std::size_t members = 5;
// Members from this one on are stopped and killed in between; memory is measured of the others, who never are.
constexpr std::size_t first_restarted = 3;
// Their lines lead nowhere while there are faults, so that they hear of the others through the courier alone.
constexpr std::size_t apart = members - 1;

struct CrowdCounts {
    std::uint64_t acts = 0;
    std::uint64_t refused = 0;  // acts that their own node did not take
    std::uint64_t stopped = 0;
    std::uint64_t killed = 0;
    std::uint64_t partitions = 0;
};

class Crowd {
public:
    // `program` is the path of ladderline.
    Crowd(const std::string& program, std::uint64_t seed);

    // Everybody begins, joins and learns by which line each of the others is called; then all run.
    void meet();
    void begin_faults();
    // One thing that happens: mostly a member says something; now and then a node ends and begins again, or the line
    // between two members is cut, or mended.
    void step();
    // Every line leads where it should, and nothing more is hurt. Who does not run is started.
    void end_faults();

    // What each circle's members hold is the same for all of them, and nothing waits for the courier.
    bool is_settled() const;
    // Of each circle that more than one member is in: how many digests its members have; 1 is what should be.
    std::string digests() const;
    // In KiB: the members who are never restarted, then the courier.
    std::vector<std::int64_t> memory_kib() const;
    // How much of the club the courier holds, as its keeper sees it; and whether a member's visit ends in step.
    bool courier_is_in_step() const;

    const CrowdCounts& counts() const { return counts_; }
    FaultCounts faults() const { return proxy_.counts(); }

private:
    struct Member {
        std::string name;
        test::Person person;
        std::unique_ptr<test::RunningProgram> node;
    };
    // From one member to another; the line to the courier is one for all.
    std::size_t line(std::size_t from, std::size_t to) const { return from * members + to; }
    std::string way_to(std::size_t line) const;
    void start(std::size_t who);
    void lead_lines_to(std::size_t who);
    void say_something();
    void begin_again(std::size_t who);
    void cut_or_mend();
    std::uint64_t dice(std::uint64_t sides) { return dice_.next() % sides; }

    test::TemporaryFolder folder_;
    test::SeededRandom dice_;
    test::Person keeper_;
    std::optional<test::RunningProgram> courier_;
    std::vector<Member> members_;
    // By line: nobody gets through.
    std::array<bool, members * members> is_cut_{};
    std::size_t courier_line_ = 0;
    CrowdCounts counts_;
    FaultProxy proxy_;
};

}  // namespace ladderline::soak
