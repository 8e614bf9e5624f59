// How far a call came, and who may wait at the door.

#include <doctest/doctest.h>

#include <boost/asio/read.hpp>
#include <boost/asio/write.hpp>

#include "node/commands/goings.hpp"
#include "node/commands/reach.hpp"
#include "tests/support/node/loopback.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;
using store::ReachStep;

namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

// Olive's club with Ada in it, who knows where Olive is. Neither listens or calls yet.
class Pair : public Loopback {
public:
    Pair() {
        begin_as(olive.member, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(ada.member, "Ada", MemberRole::newcomer);
        olive.start();
        node::InviteRequest request;
        request.circle = CircleKind::club;
        request.role = MemberRole::newcomer;
        request.address = olive.address();
        const node::InviteCode code = must(node::parse_code(must(node::invite(olive.member.context, request)).code));
        node::net::JoinSetup setup;
        setup.address = must(node::net::parse_address(code.address));
        setup.invite = code.id;
        setup.secret = code.secret;
        setup.who = join_message(ada.member, "Ada");
        must(node::accept_welcome(ada.member.context, must(join_now(*this, ada, setup))));
    }

    // Ada calls that address until the call has come to something.
    node::ReachLine call(const std::string& address) {
        must(store::remember_address(ada.member.db(), olive.member.me().device_id(), address));
        ada.start();
        node::ReachLine line;
        until([&] {
            line = must(node::reached(ada.member.context)).front();
            return !line.why.empty() || line.last_same;
        });
        return line;
    }
    static std::size_t steps_done(const node::ReachLine& line) {
        return static_cast<std::size_t>(
            std::count_if(line.steps.begin(), line.steps.end(), [](const auto& step) { return step.done; }));
    }

    NetNode olive{io, clock, 1};
    NetNode ada{io, clock, 3};
};

// Callers that connect and say nothing; `closed` counts those that were hung up on.
class SilentCallers {
public:
    explicit SilentCallers(asio::io_context& io) : io_(io) {}

    void add(std::uint16_t port, const std::string& from = "127.0.0.1") {
        auto socket = std::make_shared<tcp::socket>(io_, tcp::endpoint(asio::ip::make_address(from), 0));
        socket->connect(tcp::endpoint(asio::ip::address_v4::loopback(), port));
        auto byte = std::make_shared<std::array<char, 1>>();
        socket->async_read_some(asio::buffer(*byte),
                                [this, byte, place = sockets_.size()](boost::system::error_code error, std::size_t) {
                                    if (!error) return;
                                    ++closed;
                                    last_closed = place;
                                });
        sockets_.push_back(std::move(socket));
    }
    void hang_up(std::size_t at) { sockets_.at(at)->close(); }
    void say(std::size_t at, std::string_view words) { asio::write(*sockets_.at(at), asio::buffer(words)); }

    std::size_t closed = 0;
    std::size_t last_closed = 0;  // in the order of their coming

private:
    asio::io_context& io_;
    std::vector<std::shared_ptr<tcp::socket>> sockets_;
};

}  // namespace

TEST_CASE("a call that ends with both holding the same has done all five steps") {
    Pair p;
    const node::ReachLine line = p.call(p.olive.address());
    CHECK(Pair::steps_done(line) == 5);
    CHECK(line.last_same.has_value());
    CHECK(line.advice.empty());
}

TEST_CASE("an address that makes no sense fails before the first step") {
    Pair p;
    const node::ReachLine line = p.call("nowhere");
    CHECK(Pair::steps_done(line) == 0);
    CHECK(line.advice.find("spelling") != std::string::npos);
}

TEST_CASE("where nobody takes the call only the address is good") {
    Pair p;
    p.olive.vanish();
    const node::ReachLine line = p.call(p.olive.address());
    CHECK(Pair::steps_done(line) == 1);
    CHECK(line.advice.find("runs there and listens") != std::string::npos);
}

TEST_CASE("another program at the address takes the call and is not that device") {
    Pair p;
    tcp::acceptor other(p.io, tcp::endpoint(asio::ip::address_v4::loopback(), 0));
    tcp::socket taken(p.io);
    other.async_accept(taken, [&](boost::system::error_code) { taken.close(); });
    const node::ReachLine line = p.call("127.0.0.1:" + std::to_string(other.local_endpoint().port()));
    CHECK(Pair::steps_done(line) == 2);
    CHECK(line.advice.find("not as that device") != std::string::npos);
}

TEST_CASE("a node that no longer counts the caller as a member is told from one that is not there") {
    Pair p;
    const auto club = must(node::own_circle(p.olive.member.context, CircleKind::club));
    must(node::remove_person(p.olive.member.context, club, "Ada", "left"));
    const node::ReachLine line = p.call(p.olive.address());
    CHECK(Pair::steps_done(line) == 2);
}

TEST_CASE("for the seventeenth of the silent callers from one address the first is hung up on") {
    Pair p;
    SilentCallers callers(p.io);
    for (std::size_t k = 0; k < node::net::half_open_per_network_max; ++k) callers.add(p.olive.port);
    for (int step = 0; step < 100; ++step) p.run_step();
    REQUIRE(callers.closed == 0);
    callers.add(p.olive.port);
    REQUIRE(p.until([&] { return callers.closed == 1; }));
    CHECK(callers.last_closed == 0);
}

TEST_CASE("callers who say nothing, of one address or of as many as fill the door, keep no member out") {
    Pair p;
    SilentCallers callers(p.io);
    std::size_t addresses = 0;
    SUBCASE("one, the member's own") {
        addresses = 1;
    }
    SUBCASE("three") {
        addresses = 3;
    }
    SUBCASE("forty-eight") {
        addresses = node::net::half_open_max;
    }
    for (std::size_t k = 0; k < node::net::half_open_max; ++k) {
        callers.add(p.olive.port, "127.0.0." + std::to_string(1 + k % addresses));
    }
    for (int step = 0; step < 200; ++step) p.run_step();
    const node::ReachLine line = p.call(p.olive.address());
    CHECK(Pair::steps_done(line) == 5);
}

TEST_CASE("a silent caller who hangs up makes room for the next") {
    Pair p;
    SilentCallers callers(p.io);
    for (std::size_t k = 0; k < node::net::half_open_per_network_max; ++k) callers.add(p.olive.port);
    for (int step = 0; step < 100; ++step) p.run_step();
    callers.hang_up(0);
    for (int step = 0; step < 100; ++step) p.run_step();
    const std::size_t closed = callers.closed;
    const node::ReachLine line = p.call(p.olive.address());
    CHECK(Pair::steps_done(line) == 5);
    CHECK(callers.closed == closed);
}

TEST_CASE("a caller who has not proven themself after ten seconds is cut") {
    Pair p;
    SilentCallers callers(p.io);
    callers.add(p.olive.port);
    for (int step = 0; step < 20; ++step) p.run_step();
    REQUIRE(callers.closed == 0);
    p.clock.now.ms += protocol::handshake_wait_ms_max;
    callers.say(0, "LAD");
    CHECK(p.until([&] { return callers.closed == 1; }));
}
