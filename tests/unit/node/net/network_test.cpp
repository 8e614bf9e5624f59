#include "node/net/network.hpp"

#include <doctest/doctest.h>

#include <boost/asio/connect.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/write.hpp>

#include "node/commands/goings.hpp"
#include "node/commands/reach.hpp"
#include "store/circles/owners.hpp"
#include "tests/support/node/loopback.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

// Olive's club; Max and Ada have stores of their own and are in no club yet.
class Valley : public Loopback {
public:
    Valley() {
        begin_as(olive.member, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(max.member, "Max", MemberRole::mentor);
        begin_as(ada.member, "Ada", MemberRole::newcomer);
        for (NetNode* node : {&olive, &max, &ada}) node->start();
        club = olive.member.circle(CircleKind::club);
    }

    node::net::JoinSetup invited(NetNode& guest, const std::string& name, MemberRole role, bool under_18 = false) {
        node::InviteRequest request;
        request.circle = CircleKind::club;
        request.role = role;
        request.address = olive.address();
        const node::InviteCode code = must(node::parse_code(must(node::invite(olive.member.context, request)).code));
        node::net::JoinSetup setup;
        setup.address = must(node::net::parse_address(code.address));
        setup.invite = code.id;
        setup.secret = code.secret;
        setup.who = join_message(guest.member, name, under_18);
        return setup;
    }
    void join_club(NetNode& guest, const std::string& name, MemberRole role) {
        const auto joined = must(join_now(*this, guest, invited(guest, name, role)));
        must(node::accept_welcome(guest.member.context, joined));
        guest.network->look_again();
    }
    // Ada is a member, linked and in step.
    void join_ada() {
        join_club(ada, "Ada", MemberRole::newcomer);
        REQUIRE(until([&] { return in_step(olive, ada); }));
    }
    bool in_step(NetNode& a, NetNode& b) {
        return hold_the_same(a, b, club) && a.network->links_in_step() > 0 && b.network->links_in_step() > 0;
    }
    void say_something(NetNode& who) {
        node::CardRequest request;
        request.topics = std::vector<std::string>{"topic " + std::to_string(++said_)};
        must(node::change_card(who.member.context, request));
    }
    Bytes made_up_key() { return to_bytes(protocol::AeadKey::random(random).view()); }
    std::size_t people_of_club() { return must(node::people(olive.member.db(), club)).size(); }

    NetNode olive{io, clock, 1};
    NetNode max{io, clock, 2};
    NetNode ada{io, clock, 3};
    protocol::CircleId club;
    SeededRandom random{4};

private:
    int said_ = 0;
};

// What a node sends to a caller who says `words` and nothing more, up to the end of the stream.
std::size_t bytes_back(Loopback& loop, NetNode& node, ByteView words) {
    tcp::socket socket(loop.io);
    socket.connect(tcp::endpoint(asio::ip::address_v4::loopback(), node.port));
    asio::write(socket, asio::buffer(words.data(), words.size()));
    Bytes back;
    bool ended = false;
    asio::async_read(socket, asio::dynamic_buffer(back), [&](boost::system::error_code, std::size_t) { ended = true; });
    REQUIRE(loop.until([&] { return ended; }));
    return back.size();
}

// The first words of a device that wants to sync with `node`.
Bytes call_to(NetNode& node, const store::Identity& from, Random& random) {
    protocol::InitiatorSetup setup;
    setup.local_static = {from.noise.pub, from.noise.secret.clone()};
    setup.remote_static = node.member.me().noise.pub;
    return protocol::Connection::initiate(std::move(setup), random, {0}).next_output();
}

// Takes calls and says nothing: a place from where somebody says a beacon again.
class SilentPlace {
public:
    SilentPlace(asio::io_context& io, const std::string& host)
        : acceptor_(io, tcp::endpoint(asio::ip::make_address(host), 0)) {
        take();
    }
    // That device, as a beacon from here shows it.
    store::PeerDevice beacon_of(NetNode& node) const {
        const tcp::endpoint here = acceptor_.local_endpoint();
        return {node.member.me().device_id(), node.member.me().noise.pub,
                node::net::to_text({here.address().to_string(), here.port()})};
    }
    void hang_up() { sockets_.clear(); }
    std::size_t calls() const { return sockets_.size(); }

private:
    void take() {
        acceptor_.async_accept([this](boost::system::error_code error, tcp::socket socket) {
            if (error) return;
            sockets_.push_back(std::move(socket));
            take();
        });
    }

    tcp::acceptor acceptor_;
    std::vector<tcp::socket> sockets_;
};

}  // namespace

TEST_CASE("a good invite makes its holder a member of the club") {
    Valley v;
    REQUIRE(join_now(v, v.ada, v.invited(v.ada, "Ada", MemberRole::newcomer)).has_value());
    CHECK(v.people_of_club() == 2);
}

TEST_CASE("a wrong secret lets nobody in") {
    Valley v;
    node::net::JoinSetup setup = v.invited(v.ada, "Ada", MemberRole::newcomer);
    setup.secret[0] ^= 1;
    CHECK(must_fail(join_now(v, v.ada, setup)).fault() == Fault::refused);
    CHECK(v.people_of_club() == 1);
}

TEST_CASE("an invite that was used is unknown from then on") {
    Valley v;
    node::net::JoinSetup setup = v.invited(v.ada, "Ada", MemberRole::newcomer);
    must(join_now(v, v.ada, setup));
    setup.who = join_message(v.max.member, "Max");
    CHECK(must_fail(join_now(v, v.max, setup)).fault() == Fault::refused);
    CHECK(v.people_of_club() == 2);
}

TEST_CASE("a refusal by a gate reaches the one who wanted to join as its sentence") {
    Valley v;
    const Error error = must_fail(join_now(v, v.ada, v.invited(v.ada, "Ada", MemberRole::mentor, true)));
    CHECK(error.fault() == Fault::refused);
    CHECK(error.sentence() == "Somebody under 18 joins as a newcomer; this seat is an adult's.");
}

TEST_CASE("a joiner who names another device than the calling one is turned away") {
    Valley v;
    node::net::JoinSetup setup = v.invited(v.ada, "Ada", MemberRole::newcomer);
    setup.who = join_message(v.max.member, "Max");
    CHECK(must_fail(join_now(v, v.ada, setup)).fault() == Fault::refused);
    CHECK(v.people_of_club() == 1);
}

TEST_CASE("an address where nobody listens is named") {
    Valley v;
    const node::net::JoinSetup setup = v.invited(v.ada, "Ada", MemberRole::newcomer);
    v.olive.vanish();
    const Error error = must_fail(join_now(v, v.ada, setup));
    CHECK(error.fault() == Fault::network);
    CHECK(error.sentence().find(v.olive.address()) != std::string::npos);
}

TEST_CASE("after a join both hold the same events, the newcomer's card too") {
    Valley v;
    v.join_ada();
    CHECK(must(node::people(v.olive.member.db(), v.club)).size() == 2);
    CHECK(must(node::people(v.ada.member.db(), v.club)).size() == 2);
}

TEST_CASE("news of the one who was called arrives while the link is up") {
    Valley v;
    v.join_ada();
    v.say_something(v.olive);
    CHECK_FALSE(hold_the_same(v.olive, v.ada, v.club));
    CHECK(v.until([&] { return hold_the_same(v.olive, v.ada, v.club); }));
}

TEST_CASE("news of the one who called arrives while the link is up") {
    Valley v;
    v.join_ada();
    v.say_something(v.ada);
    CHECK_FALSE(hold_the_same(v.olive, v.ada, v.club));
    CHECK(v.until([&] { return hold_the_same(v.olive, v.ada, v.club); }));
}

TEST_CASE("news goes on from one member to another through a third") {
    Valley v;
    v.join_ada();
    v.join_club(v.max, "Max", MemberRole::mentor);
    v.say_something(v.ada);
    CHECK(v.until([&] { return hold_the_same(v.ada, v.max, v.club); }));
}

TEST_CASE("a member let onto a path gets its key and its events over the link") {
    Valley v;
    v.join_ada();
    v.join_club(v.max, "Max", MemberRole::mentor);
    REQUIRE(v.until([&] { return hold_the_same(v.ada, v.max, v.club); }));
    v.max.knows(v.ada);
    REQUIRE(v.until([&] { return v.max.network->links() == 2 && v.ada.network->links() == 2; }));
    const protocol::CircleId path = v.ada.member.circle(CircleKind::path);
    must(node::let_onto_path(v.ada.member.context, "Max", MemberRole::mentor, 3));
    CHECK(v.until([&] { return hold_the_same(v.ada, v.max, path); }));
    CHECK(node::path_of(v.max.member.context, "Ada").has_value());
}

TEST_CASE("a granted key does not replace the key of a circle that is here") {
    Valley v;
    const auto before = must(v.olive.member.log().current_key(v.club));
    SeededRandom random(5);
    const auto other = protocol::AeadKey::random(random);
    CHECK_FALSE(must(v.olive.host.take_grant({v.club, to_bytes(other.view())}, v.ada.member.me().noise.pub)));
    CHECK(protocol::equal_secret(must(v.olive.member.log().current_key(v.club)).view(), before.view()));
}

TEST_CASE("a made-up key that a member grants first does not keep the path's people away") {
    Valley v;
    v.join_ada();
    v.join_club(v.max, "Max", MemberRole::mentor);
    REQUIRE(v.until([&] { return hold_the_same(v.ada, v.max, v.club); }));
    const protocol::CircleId path = v.ada.member.circle(CircleKind::path);
    CHECK(must(v.max.host.take_grant({path, v.made_up_key()}, v.olive.member.me().noise.pub)));
    v.max.knows(v.ada);
    must(node::let_onto_path(v.ada.member.context, "Max", MemberRole::mentor, 3));
    CHECK(v.until([&] { return hold_the_same(v.ada, v.max, path); }));
    CHECK(node::path_of(v.max.member.context, "Ada").has_value());
    CHECK_FALSE(must(v.max.host.take_grant({path, v.made_up_key()}, v.random.draw<protocol::DhPublic>())));
}

TEST_CASE("somebody whose granter vanished talks about the circle with the next member that grants it") {
    Valley v;
    v.join_ada();
    v.join_club(v.max, "Max", MemberRole::mentor);
    REQUIRE(v.until([&] { return hold_the_same(v.ada, v.max, v.club); }));
    const auto path = v.random.draw<protocol::CircleId>();
    const protocol::GrantMessage grant{path, v.made_up_key()};
    CHECK(must(v.ada.host.take_grant(grant, v.olive.member.me().noise.pub)));
    CHECK(must(v.ada.host.take_grant(grant, v.max.member.me().noise.pub)));
    const auto shared = must(store::circles_with(v.ada.member.db(), v.ada.member.id(), v.max.member.me().noise.pub));
    CHECK(std::find(shared.begin(), shared.end(), path) != shared.end());
}

TEST_CASE("of a circle that has not come each device grants one key, and a member's devices a few") {
    Valley v;
    v.join_ada();
    const auto path = v.random.draw<protocol::CircleId>();
    const protocol::DeviceCertificate first = v.ada.member.me().certificate;
    std::size_t taken = 0;
    for (int i = 0; i < 20; ++i) {
        const auto noise = v.random.draw<protocol::DhPublic>();
        must(v.olive.member.db().run(
            "INSERT INTO device (circle, device, member, noise, box, label) VALUES (?1, ?2, ?3, ?4, x'', '')", v.club,
            v.random.draw<protocol::DeviceId>(), first.member, noise));
        taken += must(v.olive.host.take_grant({path, v.made_up_key()}, noise)) ? 1 : 0;
        CHECK_FALSE(must(v.olive.host.take_grant({path, v.made_up_key()}, noise)));
    }
    CHECK(taken == store::granters_per_member_max);
    std::int64_t keys = 0;
    must(v.olive.member.db().query(
        "SELECT count(*) FROM epoch_key WHERE circle = ?1",
        [&](const store::sqlite::Row& row) { keys = row.integer(0); }, path));
    CHECK(keys == static_cast<std::int64_t>(store::granters_per_member_max));
}

TEST_CASE("a member who was removed and is let onto the path again hears of it over the link") {
    Valley v;
    v.join_ada();
    v.join_club(v.max, "Max", MemberRole::mentor);
    REQUIRE(v.until([&] { return hold_the_same(v.ada, v.max, v.club); }));
    v.max.knows(v.ada);
    REQUIRE(v.until([&] { return v.max.network->links() == 2 && v.ada.network->links() == 2; }));
    const protocol::CircleId path = v.ada.member.circle(CircleKind::path);
    must(node::let_onto_path(v.ada.member.context, "Max", MemberRole::mentor, 3));
    REQUIRE(v.until([&] { return hold_the_same(v.ada, v.max, path); }));
    const auto view = must(node::path_of(v.ada.member.context, "Ada"));
    must(node::remove_person(v.ada.member.context, view, "Max", "a mistake"));
    // As if a carried bundle had told Max.
    send_circle(v.ada.member, v.max.member, path);
    must(node::let_onto_path(v.ada.member.context, "Max", MemberRole::mentor, 3));
    CHECK(v.until([&] { return hold_the_same(v.ada, v.max, path); }));
}

TEST_CASE("any number of circles that nobody asked for leave two members their club") {
    Valley v;
    v.join_ada();
    for (NetNode* node : {&v.olive, &v.ada}) {
        node->vanish();
        const store::Identity& other = (node == &v.olive ? v.ada : v.olive).member.me();
        for (std::uint8_t i = 0; i < 2 * protocol::limits::circles_max; ++i) {
            Bytes small(protocol::CircleId::size);
            small.back() = i;
            const auto circle = protocol::CircleId::from(small);
            for (const protocol::MemberId& member : {v.olive.member.id(), v.ada.member.id()}) {
                must(node->member.db().run("INSERT INTO member VALUES (?1, ?2, 0, 0, '', 0, 0)", circle, member));
            }
            must(node->member.db().run(
                "INSERT INTO device (circle, device, member, noise, box, label) VALUES (?1, ?2, ?3, ?4, x'', '')",
                circle, other.device_id(), other.id(), other.noise.pub));
            must(store::remember_welcome(node->member.db(), circle, {}, v.max.member.me().noise.pub));
        }
    }
    v.say_something(v.olive);
    v.olive.start();
    v.ada.start();
    CHECK(v.until([&] { return hold_the_same(v.olive, v.ada, v.club); }));
}

TEST_CASE("a device that shares no circle is turned away without a word") {
    Valley v;
    SeededRandom random(6);
    CHECK(bytes_back(v, v.olive, call_to(v.olive, v.max.member.me(), random)) == 0);
    CHECK(v.olive.network->links() == 0);
}

TEST_CASE("a member's device that calls is answered") {
    Valley v;
    must(join_now(v, v.ada, v.invited(v.ada, "Ada", MemberRole::newcomer)));
    SeededRandom random(6);
    const Bytes call = call_to(v.olive, v.ada.member.me(), random);
    tcp::socket socket(v.io);
    socket.connect(tcp::endpoint(asio::ip::address_v4::loopback(), v.olive.port));
    asio::write(socket, asio::buffer(call));
    std::array<std::uint8_t, 16> back{};
    std::size_t size = 0;
    asio::async_read(socket, asio::buffer(back), [&](boost::system::error_code, std::size_t got) { size = got; });
    CHECK(v.until([&] { return size == back.size(); }));
}

TEST_CASE("bytes that make no sense are not answered") {
    Valley v;
    SeededRandom random(7);
    Bytes noise(300);
    for (int i = 0; i < 20; ++i) {
        random.fill(noise);
        CHECK(bytes_back(v, v.olive, noise) == 0);
    }
}

TEST_CASE("bytes that make no sense do not keep a member out") {
    Valley v;
    const Bytes noise(300, 0xFF);
    for (int i = 0; i < 100; ++i) bytes_back(v, v.olive, noise);
    v.join_ada();
    CHECK(v.olive.network->links() == 1);
}

TEST_CASE("when both call at once one link stays") {
    Valley v;
    must(node::accept_welcome(v.ada.member.context,
                              must(join_now(v, v.ada, v.invited(v.ada, "Ada", MemberRole::newcomer)))));
    v.olive.knows(v.ada);
    v.olive.network->look_again();
    v.ada.network->look_again();
    REQUIRE(v.until([&] { return v.in_step(v.olive, v.ada); }));
    REQUIRE(v.until([&] { return v.olive.network->links() == 1 && v.ada.network->links() == 1; }));
    for (int step = 0; step < 300; ++step) v.run_step();
    CHECK(v.olive.network->links() == 1);
    CHECK(v.ada.network->links() == 1);
}

TEST_CASE("a peer that vanished is called again until it is back") {
    Valley v;
    v.join_ada();
    v.olive.vanish();
    REQUIRE(v.until([&] { return v.ada.network->links() == 0; }));
    v.say_something(v.ada);
    v.olive.start();
    CHECK(v.until([&] { return v.in_step(v.olive, v.ada); }));
}

TEST_CASE("a beacon said again from elsewhere keeps no device from being called at its own address") {
    Valley v;
    v.join_ada();
    v.olive.vanish();
    REQUIRE(v.until([&] { return v.ada.network->links() == 0; }));
    SilentPlace stranger(v.io, "127.0.0.2");
    REQUIRE(v.until([&] {
        v.ada.network->call_once(stranger.beacon_of(v.olive));
        return stranger.calls() == 1;
    }));
    v.olive.start();
    const std::int64_t begun = v.clock.now.ms;
    CHECK(v.until([&] { return v.in_step(v.olive, v.ada) || v.clock.now.ms > begun + 2000; }));
    CHECK(v.in_step(v.olive, v.ada));
}

TEST_CASE("a call that fails where a beacon was said again is not held against the device") {
    Valley v;
    v.join_ada();
    v.olive.vanish();
    const auto is_call_taken = [&] { return must(node::reached(v.ada.member.context)).front().steps.at(1).done; };
    // Nobody takes a call at her own address.
    REQUIRE(v.until([&] { return !is_call_taken(); }));
    SilentPlace stranger(v.io, "127.0.0.2");
    REQUIRE(v.until([&] {
        v.ada.network->call_once(stranger.beacon_of(v.olive));
        return stranger.calls() == 1;
    }));
    stranger.hang_up();
    bool was_call_taken = false;
    for (int step = 0; step < 200; ++step) {
        v.run_step();
        was_call_taken = was_call_taken || is_call_taken();
    }
    CHECK_FALSE(was_call_taken);
}

TEST_CASE("of the places where a device is heard two are called at once, on one host one") {
    Valley v;
    v.join_ada();
    v.olive.vanish();
    REQUIRE(v.until([&] { return v.ada.network->links() == 0; }));
    SilentPlace second(v.io, "127.0.0.2");
    SilentPlace same_host(v.io, "127.0.0.2");
    SilentPlace third(v.io, "127.0.0.3");
    SilentPlace fourth(v.io, "127.0.0.4");
    for (SilentPlace* place : {&second, &second, &same_host, &third, &fourth}) {
        v.ada.network->call_once(place->beacon_of(v.olive));
    }
    REQUIRE(v.until([&] { return second.calls() == 1 && third.calls() == 1; }));
    for (int step = 0; step < 100; ++step) v.run_step();
    CHECK(second.calls() == 1);
    CHECK(same_host.calls() + fourth.calls() == 0);
}

TEST_CASE("of calls to a device at two addresses at once the first that comes through ends the other") {
    Valley v;
    v.join_ada();
    v.olive.vanish();
    REQUIRE(v.until([&] { return v.ada.network->links() == 0; }));
    const store::Identity& olive = v.olive.member.me();
    must(store::remember_address(v.ada.member.db(), olive.device_id(), "localhost:" + std::to_string(v.olive.port)));
    v.olive.start();
    v.ada.network->look_again();
    v.ada.network->call_once({olive.device_id(), olive.noise.pub, v.olive.address()});
    REQUIRE(v.until([&] { return v.in_step(v.olive, v.ada); }));
    for (int step = 0; step < 300; ++step) {
        v.run_step();
        CHECK(v.olive.network->links() == 1);
        CHECK(v.ada.network->links() == 1);
    }
}

TEST_CASE("a caller that starts again finds its way back, and what was said meanwhile") {
    Valley v;
    v.join_ada();
    v.ada.vanish();
    v.say_something(v.olive);
    v.ada.start();
    CHECK(v.until([&] { return v.in_step(v.olive, v.ada); }));
    CHECK(v.until([&] { return v.olive.network->links() == 1; }));
}

TEST_CASE("a node that stops says goodbye, so that its peers know at once") {
    Valley v;
    v.join_ada();
    v.olive.network->stop();
    CHECK(v.until([&] { return v.ada.network->links() == 0 && v.olive.network->links() == 0; }));
}

TEST_CASE("a node says by which kinds of address it is called") {
    Valley v;
    const auto families = [&](const char* host) {
        node::net::Network network(v.io.get_executor(), v.max.parts());
        if (!network.listen({host, 0})) return std::string("no IPv6 here");
        return std::string(network.families().v4 ? "v4 " : "") + (network.families().v6 ? "v6" : "");
    };
    CHECK(families("0.0.0.0") == "v4 ");
    for (const char* host : {"::", "::1"}) {
        const std::string said = families(host);
        if (said == "no IPv6 here") continue;
        CHECK(said == (std::string(host) == "::1" ? "v6" : "v4 v6"));
    }
    CHECK_FALSE(node::net::Network(v.io.get_executor(), v.max.parts()).families().v4);
}

TEST_CASE("a port that another node has is said to be in use") {
    Valley v;
    node::net::Network other(v.io.get_executor(), v.max.parts());
    CHECK(must_fail(other.listen({"127.0.0.1", v.olive.port})).fault() == Fault::busy);
}
