// Two links to one device, of which the older one leads nowhere any more.

#include <doctest/doctest.h>

#include <boost/asio/write.hpp>

#include "tests/support/node/hostile_peer.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

// Carries one connection on to a node, until its cable is pulled: from then on nothing comes through, not even the end.
class Cable {
public:
    Cable(asio::io_context& io, std::uint16_t to)
        : acceptor_(io, tcp::endpoint(asio::ip::address_v4::loopback(), 0)), near_(io), far_(io) {
        acceptor_.async_accept(near_, [this, to](boost::system::error_code error) {
            if (error) return;
            far_.connect(tcp::endpoint(asio::ip::address_v4::loopback(), to));
            carry(near_, far_, there_);
            carry(far_, near_, back_);
        });
    }
    std::string address() const { return "127.0.0.1:" + std::to_string(acceptor_.local_endpoint().port()); }
    void pull() { is_pulled_ = true; }

private:
    using Piece = std::array<char, 4096>;

    void carry(tcp::socket& from, tcp::socket& to, Piece& piece) {
        from.async_read_some(asio::buffer(piece), [&, this](boost::system::error_code error, std::size_t size) {
            if (error || is_pulled_) return;
            asio::write(to, asio::buffer(piece, size));
            carry(from, to, piece);
        });
    }

    tcp::acceptor acceptor_;
    tcp::socket near_;
    tcp::socket far_;
    Piece there_{};
    Piece back_{};
    bool is_pulled_ = false;
};

// Two members of one club, neither of whom calls yet. If both call, the link that `first` began stays.
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
        ada.knows(olive);
        ada.start();
        REQUIRE(until([&] { return in_step(); }));
        for (NetNode* node : {&olive, &ada}) {
            node->vanish();
            must(node->member.db().execute("DELETE FROM peer"));
        }
    }
    bool in_step() {
        return hold_the_same(olive, ada, olive.member.circle(CircleKind::club)) && olive.network->links_in_step() > 0 &&
               ada.network->links_in_step() > 0;
    }

    protocol::CircleId club() { return olive.member.circle(CircleKind::club); }

    NetNode olive{io, clock, 1};
    NetNode ada{io, clock, 3};
    const bool olive_is_first = olive.member.me().noise.pub < ada.member.me().noise.pub;
    NetNode& first = olive_is_first ? olive : ada;
    NetNode& second = olive_is_first ? ada : olive;
};

// Somebody who holds that device's key calls, and says no more than makes them known.
std::unique_ptr<HostilePeer> call_with_key_of(Pair& p, NetNode& device, NetNode& node) {
    auto peer = std::make_unique<HostilePeer>(p, node.port);
    peer->shake_hands(device.member.me(), node.member.me().noise.pub);
    peer->say(encode_message(protocol::AnswerMessage{{}, 0, {protocol::HelloAnswer::unknown}}));
    return peer;
}

}  // namespace

TEST_CASE("who comes back after its power was lost is not sent away for a dead link of ours") {
    Pair p;
    p.second.start();
    Cable cable(p.io, p.second.port);
    must(store::remember_address(p.first.member.db(), p.second.member.me().device_id(), cable.address()));
    p.first.start();
    REQUIRE(p.until([&] { return p.in_step(); }));
    cable.pull();
    p.second.vanish();
    p.clock.now.ms += 30'000;
    p.second.start();
    p.second.knows(p.first);
    p.second.network->look_again();
    for (int step = 0; step < 200; ++step) p.run_step();
    node::CardRequest request;
    request.topics = std::vector<std::string>{"said after the power came back"};
    must(node::change_card(p.first.member.context, request));
    const std::int64_t begun = p.clock.now.ms;
    const auto arrived = [&] { return hold_the_same(p.first, p.second, p.club()); };
    CHECK(p.until([&] { return arrived() || p.clock.now.ms > begun + 2000; }));
    CHECK(arrived());
    CHECK(p.first.network->links() == 1);
}

TEST_CASE("two machines with the key of one device do not push each other off the line for ever") {
    Pair p;
    p.olive.start();
    p.ada.knows(p.olive);
    p.ada.network =
        std::make_unique<node::net::Network>(p.io.get_executor(), p.ada.parts(), node::net::NetworkTimes{1, 1'000'000});
    p.ada.network->start();
    REQUIRE(p.until([&] { return p.in_step(); }));
    for (int step = 0; step < 200; ++step) p.run_step();
    const std::int64_t end = p.clock.now.ms + 30'000;
    int turns = 0;
    for (; p.clock.now.ms < end; ++turns) {
        const auto copy = call_with_key_of(p, p.ada, p.olive);
        while (!copy->ended() && p.clock.now.ms < end) {
            p.run_step();
            p.clock.now.ms += 9;
        }
    }
    CHECK(turns > 2);
    CHECK(turns < 20);
}

TEST_CASE("what a link brought of a first load is told also where the link is cut as lost before the next is told") {
    Pair p;
    std::size_t told = 0;
    p.first.host.on_arrival([&] { ++told; });
    for (int k = 0; k < 250; ++k) {
        node::CardRequest request;
        request.topics =
            std::vector<std::string>(60, "a topic of a card that is as long as a card may be, or nearly so");
        request.topics->front() += std::to_string(k);
        must(node::change_card(p.second.member.context, request));
    }
    p.second.start();
    Cable cable(p.io, p.second.port);
    must(store::remember_address(p.first.member.db(), p.second.member.me().device_id(), cable.address()));
    p.first.start();
    // Until something came that was not told.
    std::int64_t events = p.first.member.events();
    bool is_told = true;
    for (int step = 0; step < 20'000 && is_told; ++step) {
        const std::size_t told_before = told;
        p.run_step();
        const std::int64_t events_before = std::exchange(events, p.first.member.events());
        is_told = events == events_before || told > told_before;
    }
    REQUIRE_FALSE(is_told);
    cable.pull();
    for (int step = 0; step < 100; ++step) p.run_step();
    REQUIRE_FALSE(hold_the_same(p.first, p.second, p.club()));
    p.second.vanish();
    p.clock.now.ms += 30'000;
    told = 0;
    const auto back = call_with_key_of(p, p.second, p.first);
    CHECK(p.until([&] { return told > 0 || back->ended(); }));
    CHECK(told == 1);
}
