#include "node/net/discovery.hpp"

#include <doctest/doctest.h>

#include <boost/asio/ip/udp.hpp>
#include <boost/asio/post.hpp>

#include "tests/support/node/loopback.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

// Whom a node heard, and where.
struct Ear {
    Ear(Loopback& loop, NetNode& node, std::vector<node::net::Address> also_to = {},
        node::net::Families families = {true, true})
        : discovery(loop.io.get_executor(), node.parts(), {0, false, std::move(also_to), 1'000'000},
                    [this](const store::PeerDevice& peer) { heard.push_back(peer); }) {
        must(discovery.start(node.port, families));
    }
    node::net::Address place() const { return {"127.0.0.1", discovery.port()}; }
    node::net::Address place_v6() const { return {"::1", discovery.port()}; }

    std::vector<store::PeerDevice> heard;
    node::net::Discovery discovery;
};

// Olive's club, which Ada is in; Max is in no circle of theirs.
class Meadow : public Loopback {
public:
    Meadow() {
        begin_as(olive.member, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(max.member, "Max", MemberRole::mentor);
        begin_as(ada.member, "Ada", MemberRole::newcomer);
        for (NetNode* node : {&olive, &max, &ada}) node->start();
        const auto club = olive.member.circle(CircleKind::club);
        node::InviteRequest request;
        request.circle = CircleKind::club;
        request.role = MemberRole::newcomer;
        request.address = olive.address();
        const node::InviteCode code = must(node::parse_code(must(node::invite(olive.member.context, request)).code));
        node::net::JoinSetup setup;
        setup.address = must(node::net::parse_address(code.address));
        setup.invite = code.id;
        setup.secret = code.secret;
        setup.who = join_message(ada.member, "Ada", false);
        must(node::accept_welcome(ada.member.context, must(join_now(*this, ada, setup))));
        ada.network->look_again();
        REQUIRE(until([&] { return hold_the_same(olive, ada, club); }));
    }
    // Whatever was sent has been read: loopback datagrams arrive with the send.
    void read_all() {
        for (int i = 0; i < 50; ++i) {
            boost::asio::post(io, [] {});
            run_step();
        }
    }

    NetNode olive{io, clock, 1};
    NetNode max{io, clock, 2};
    NetNode ada{io, clock, 3};
};

// The number stands first in the id, so that of several that came in one way the smallest comes first.
protocol::CircleId made_up_circle(std::uint8_t number) {
    Bytes id(protocol::CircleId::size);
    id[0] = number;
    return protocol::CircleId::from(id);
}

// A circle with these two in it, as far as a beacon asks, with the same key on every node.
void put_in_circle(NetNode& node, NetNode& other, std::uint8_t number) {
    const auto circle = made_up_circle(number);
    SeededRandom random(1000U + number);
    must(node.member.log().add_key(circle, protocol::AeadKey::random(random)));
    for (NetNode* one : {&node, &other}) {
        must(node.member.db().run("INSERT INTO member VALUES (?1, ?2, 0, 0, '', 0, 0)", circle, one->member.id()));
        must(node.member.db().run(
            "INSERT INTO device (circle, device, member, noise, box, label) VALUES (?1, ?2, ?3, ?4, x'', '')", circle,
            one->member.me().device_id(), one->member.id(), one->member.me().noise.pub));
    }
}

// Says so where the machine has no IPv6.
bool has_v6(Loopback& loop) {
    boost::system::error_code error;
    boost::asio::ip::udp::socket socket(loop.io, boost::asio::ip::udp::v6());
    socket.bind({boost::asio::ip::address_v6::loopback(), 0}, error);
    if (error) MESSAGE("left out: this machine has no IPv6");
    return !error;
}

}  // namespace

TEST_CASE("a member on the same network is found, with the port it listens on") {
    Meadow m;
    Ear olive(m, m.olive);
    Ear ada(m, m.ada, {olive.place()});
    REQUIRE(m.until([&] { return !olive.heard.empty(); }));
    CHECK(olive.heard[0].device == m.ada.member.me().device_id());
    CHECK(olive.heard[0].address == m.ada.address());
}

TEST_CASE("a node that is in no common circle hears nobody") {
    Meadow m;
    Ear max(m, m.max);
    Ear ada(m, m.ada, {max.place()});
    m.read_all();
    CHECK(max.heard.empty());
}

TEST_CASE("a node that has just started is answered at once") {
    Meadow m;
    Ear ada(m, m.ada);
    Ear olive(m, m.olive, {ada.place()});
    REQUIRE(m.until([&] { return !olive.heard.empty(); }));
    CHECK(olive.heard[0].device == m.ada.member.me().device_id());
}

TEST_CASE("a node that listens by IPv6 calls out by it") {
    Meadow m;
    if (!has_v6(m)) return;
    Ear olive(m, m.olive);
    Ear ada(m, m.ada, {olive.place_v6()}, {false, true});
    REQUIRE(m.until([&] { return !olive.heard.empty(); }));
    CHECK(olive.heard[0].address == "[::1]:" + std::to_string(m.ada.port));
}

TEST_CASE("by a kind of address at which a node does not listen it neither calls out nor answers") {
    Meadow m;
    Ear olive(m, m.olive);
    Ear by_v4_alone(m, m.ada, {olive.place_v6()}, {true, false});
    Ear by_v6_alone(m, m.ada, {olive.place()}, {false, true});
    // Answered, if at all, where they came from.
    Ear asks_by_v6(m, m.olive, {by_v4_alone.place_v6()}, {true, true});
    Ear asks_by_v4(m, m.olive, {by_v6_alone.place()}, {true, true});
    m.read_all();
    CHECK(olive.heard.empty());
    CHECK(asks_by_v6.heard.empty());
    CHECK(asks_by_v4.heard.empty());
}

TEST_CASE("one's own call is not taken for somebody else's") {
    Meadow m;
    Ear olive(m, m.olive);
    Ear echo(m, m.olive, {olive.place()});
    m.read_all();
    CHECK(olive.heard.empty());
}

TEST_CASE("of a flood of calls only the first fifty in a second are looked at") {
    Meadow m;
    Ear olive(m, m.olive);
    Ear ada(m, m.ada, std::vector<node::net::Address>(80, olive.place()));
    REQUIRE(m.until([&] { return olive.heard.size() == 50; }));
    m.read_all();
    CHECK(olive.heard.size() == 50);
}

TEST_CASE("any number of circles that nobody asked for push no chosen one out of a beacon") {
    Meadow m;
    for (std::uint8_t i = 0; i < 2 * protocol::beacon_tags_max; ++i) {
        put_in_circle(m.ada, m.max, i);
        must(store::remember_welcome(m.ada.member.db(), made_up_circle(i), {}, m.max.member.me().noise.pub));
    }
    Ear olive(m, m.olive);
    Ear ada(m, m.ada, {olive.place()});
    m.read_all();
    CHECK(olive.heard.size() == 1);
}

TEST_CASE("whoever is in more circles than a beacon holds calls out for each of them now and then") {
    Meadow m;
    constexpr std::uint8_t circles = 100;
    for (std::uint8_t i = 0; i < circles; ++i) put_in_circle(m.ada, m.max, i);
    put_in_circle(m.max, m.ada, circles - 1);
    Ear max(m, m.max);
    Ear ada(m, m.ada, {max.place()});
    for (int i = 0; i < 20; ++i) {
        ada.discovery.call_out();
        m.read_all();
    }
    CHECK_FALSE(max.heard.empty());
}
