#pragma once
// Whole nodes on the loopback of this machine, all on one io_context that the test drives step by step.

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>

#include "node/app/node_host.hpp"
#include "node/net/join.hpp"
#include "node/net/network.hpp"
#include "store/circles/peers.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline::test {

// Keeps the lines of the operator's log instead of printing them.
class QuietHost : public node::NodeHost {
public:
    using NodeHost::NodeHost;
    void log_line(const std::string& line) override { lines.push_back(line); }

    std::vector<std::string> lines;
};

// Never moved: the network refers to its neighbours.
class NetNode {
public:
    NetNode(boost::asio::io_context& io, SetClock& clock, std::uint64_t seed,
            const protocol::PaperSeed* paper = nullptr)
        : member(clock, seed, paper), host(member.context), io_(io), clock_(clock), random_(seed + 1000) {
        member.context.news = [this](const protocol::CircleId& circle) {
            boost::asio::post(io_, [this, circle] {
                if (network) network->on_news(circle);
            });
        };
    }

    node::net::Parts parts() {
        return {member.db(), member.context.states, member.log(), member.me(), clock_, random_, host};
    }

    // Listens where it listened before, if it did.
    void start() {
        network = std::make_unique<node::net::Network>(io_.get_executor(), parts(), node::net::NetworkTimes{1, 8});
        port = must(network->listen({"127.0.0.1", port}));
        network->start();
    }
    // As a machine that loses its power: nothing is said.
    void vanish() { network.reset(); }

    std::string address() const { return "127.0.0.1:" + std::to_string(port); }
    void knows(NetNode& other) {
        must(store::remember_address(member.db(), other.member.me().device_id(), other.address()));
    }

    MemberNode member;
    QuietHost host;
    std::unique_ptr<node::net::Network> network;
    std::uint16_t port = 0;

private:
    boost::asio::io_context& io_;
    SetClock& clock_;
    SeededRandom random_;
};

class Loopback {
public:
    // Runs what is ready, step by step, until `reached` says yes; false if it never did. The nodes' clock goes on by a
    // millisecond a step.
    template <class Reached>
    bool until(Reached reached) {
        constexpr int steps_max = 50'000;
        for (int step = 0; step < steps_max && !reached(); ++step) run_step();
        return reached();
    }
    void run_step() {
        clock.now.ms += 1;
        io.run_one();
    }

    SetClock clock;
    boost::asio::io_context io;
};

// Ids of all events of the circle that this node holds, as text.
inline std::string events_of(MemberNode& member, const protocol::CircleId& circle) {
    std::string out;
    for (const protocol::LogHead& head : must(member.log().heads(circle))) {
        out += to_hex(head.log.view()) + ":" + std::to_string(head.next_seq) + " ";
    }
    return out;
}

inline bool hold_the_same(NetNode& a, NetNode& b, const protocol::CircleId& circle) {
    const std::string events = events_of(a.member, circle);
    return !events.empty() && events == events_of(b.member, circle);
}

// What a join came to, once it has.
using JoinOutcome = std::optional<Result<protocol::WelcomeMessage::Joined>>;

inline boost::asio::awaitable<void> join_into(boost::asio::any_io_executor strand, node::net::Parts parts,
                                              node::net::JoinSetup setup, JoinOutcome& outcome) {
    Result<protocol::WelcomeMessage::Joined> joined = co_await node::net::join(strand, parts, setup);
    outcome.emplace(std::move(joined));
}

inline Result<protocol::WelcomeMessage::Joined> join_now(Loopback& loop, NetNode& guest,
                                                         const node::net::JoinSetup& setup) {
    JoinOutcome outcome;
    boost::asio::co_spawn(loop.io, join_into(loop.io.get_executor(), guest.parts(), setup, outcome),
                          [](std::exception_ptr) {});
    if (!loop.until([&] { return outcome.has_value(); })) throw std::runtime_error("the join came to no end");
    return *outcome;
}

}  // namespace ladderline::test
