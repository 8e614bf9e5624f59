// Who stays on a node that has more links than it keeps.

#include "node/net/crowd.hpp"

#include <doctest/doctest.h>

#include "node/commands/circles.hpp"
#include "tests/support/node/hostile_peer.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::net::turn_ms_min;
using protocol::CircleKind;
using protocol::MemberRole;
using store::Owners;

namespace {

protocol::MemberId member(std::uint8_t number) {
    Bytes id(protocol::MemberId::size);
    id[0] = number;
    return protocol::MemberId::from(id);
}

Owners owned_by(std::initializer_list<std::uint8_t> numbers, bool unasked_only = false) {
    Owners out{{}, unasked_only};
    for (const std::uint8_t number : numbers) out.members.push_back(member(number));
    return out;
}

// Which goes of links that came in this order, a millisecond apart; the last has just come, `stood_ms` after the first.
std::size_t who_goes(const std::vector<Owners>& owners, std::int64_t stood_ms = 2 * turn_ms_min) {
    std::vector<node::net::CrowdLink> links;
    for (const Owners& one : owners) links.push_back({one, stood_ms - static_cast<std::int64_t>(links.size())});
    links.back().stood_ms = 0;
    return node::net::who_goes(links, links.size() - 1);
}

// Olive's club with Max and Ada in it, and any number of devices of Max's or of others.
class Club : public Loopback {
public:
    Club() {
        begin_as(olive.member, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(max.member, "Max", MemberRole::mentor);
        begin_as(ada.member, "Ada", MemberRole::mentor);
        join(olive.member, max.member, "Max", CircleKind::club, MemberRole::mentor);
        join(olive.member, ada.member, "Ada", CircleKind::club, MemberRole::mentor);
        club = olive.member.circle(CircleKind::club);
        olive.start();
    }
    // One more device of that member's.
    protocol::DhKeys device_of(const protocol::MemberId& who) {
        protocol::DhKeys keys = protocol::dh_keys_from_secret(random.draw<protocol::DhSecret>());
        must(olive.member.db().run(
            "INSERT INTO device (circle, device, member, noise, box, label) VALUES (?1, ?2, ?3, ?4, x'', '')", club,
            random.draw<protocol::DeviceId>(), who, keys.pub));
        return keys;
    }
    protocol::DhKeys device_of_somebody() {
        const auto somebody = random.draw<protocol::MemberId>();
        must(olive.member.db().run("INSERT INTO member VALUES (?1, ?2, 0, 0, '', 0, 0)", club, somebody));
        return device_of(somebody);
    }
    // That device goes on as far as a member's device is kept for good, and is silent from then on.
    std::unique_ptr<HostilePeer> call_as(const protocol::DhKeys& keys) {
        auto peer = std::make_unique<HostilePeer>(*this, olive.port);
        protocol::InitiatorSetup setup;
        setup.local_static = {keys.pub, keys.secret.clone()};
        setup.remote_static = olive.member.me().noise.pub;
        peer->shake_hands(std::move(setup));
        const std::size_t before = olive.network->links();
        peer->say(encode_message(protocol::AnswerMessage{{}, 0, {protocol::HelloAnswer::unknown}}));
        until([&] { return olive.network->links() > before || peer->ended(); });
        return peer;
    }

    NetNode olive{io, clock, 1};
    NetNode max{io, clock, 2};
    NetNode ada{io, clock, 3};
    SeededRandom random{4};
    protocol::CircleId club;
};

}  // namespace

TEST_CASE("a member whose devices take every place of a node keeps no other member out") {
    Club c;
    std::vector<std::unique_ptr<HostilePeer>> peers;
    for (int i = 0; i < 256; ++i) peers.push_back(c.call_as(c.device_of(c.max.member.id())));
    REQUIRE(c.olive.network->links() == 256);
    must(store::remember_address(c.ada.member.db(), c.olive.member.me().device_id(), c.olive.address()));
    c.ada.start();
    CHECK(c.until([&] { return hold_the_same(c.olive, c.ada, c.club) && c.ada.network->links_in_step() > 0; }));
    CHECK(c.olive.network->links() == 256);
    CHECK(peers.front()->is_hung_up_on());
}

TEST_CASE("a full node gets the path that its owner has just joined, of somebody in no other circle of theirs") {
    Club c;
    NetNode eve{c.io, c.clock, 5};
    begin_as(eve.member, "Eve", MemberRole::newcomer);
    std::vector<std::unique_ptr<HostilePeer>> peers;
    for (int i = 0; i < 256; ++i) peers.push_back(c.call_as(c.device_of(c.max.member.id())));
    REQUIRE(c.olive.network->links() == 256);
    node::InviteRequest request;
    request.role = MemberRole::mentor;
    request.level = 3;
    const node::InviteCode code = must(node::parse_code(must(node::invite(eve.member.context, request)).code));
    const auto welcome = must(node::let_in(eve.member.context, code.id, join_message(c.olive.member, "Olive")));
    must(node::accept_welcome(c.olive.member.context, *welcome.joined));
    eve.start();
    c.olive.knows(eve);
    c.olive.network->look_again();
    CHECK(c.until([&] { return hold_the_same(c.olive, eve, eve.member.circle(CircleKind::path)); }));
    eve.vanish();
}

TEST_CASE("where more members call than a node keeps, they do not push out one another for ever") {
    Club c;
    std::vector<protocol::DhKeys> devices;
    std::vector<std::unique_ptr<HostilePeer>> peers;
    for (int i = 0; i < 256; ++i) {
        devices.push_back(c.device_of_somebody());
        peers.push_back(c.call_as(devices.back()));
    }
    REQUIRE(c.olive.network->links() == 256);
    must(store::remember_address(c.ada.member.db(), c.olive.member.me().device_id(), c.olive.address()));
    c.ada.start();
    // For half a minute whoever is cut calls again half a second later.
    int calls = 0;
    for (int half_second = 0; half_second < 60; ++half_second) {
        for (int step = 0; step < 50; ++step) {
            c.run_step();
            c.clock.now.ms += 9;
        }
        for (std::size_t i = 0; i < peers.size(); ++i) {
            if (!peers[i]->ended()) continue;
            peers[i] = c.call_as(devices[i]);
            ++calls;
        }
    }
    CHECK(calls == 0);
    CHECK(c.olive.network->links() == 256);
}

TEST_CASE("whoever calls a full node is let in once somebody has had their turn") {
    Club c;
    std::vector<std::unique_ptr<HostilePeer>> peers;
    for (int i = 0; i < 256; ++i) peers.push_back(c.call_as(c.device_of_somebody()));
    REQUIRE(c.olive.network->links() == 256);
    c.clock.now.ms += turn_ms_min;
    must(store::remember_address(c.ada.member.db(), c.olive.member.me().device_id(), c.olive.address()));
    c.ada.start();
    CHECK(c.until([&] { return hold_the_same(c.olive, c.ada, c.club) && c.ada.network->links_in_step() > 0; }));
    CHECK(peers.front()->is_hung_up_on());
    CHECK(c.olive.network->links() == 256);
}

TEST_CASE("of a crowd the oldest link of the member with most links goes") {
    CHECK(who_goes({owned_by({1}), owned_by({2}), owned_by({3}), owned_by({2})}) == 1);
    CHECK(who_goes({owned_by({1}), owned_by({2}), owned_by({3})}) == 0);
}

TEST_CASE("among members with as many links each, the one that has just come goes until another has had its turn") {
    const std::vector<Owners> links{owned_by({1}), owned_by({2}), owned_by({3})};
    CHECK(who_goes(links, turn_ms_min - 1) == 2);
    CHECK(who_goes(links, turn_ms_min) == 0);
}

TEST_CASE("a member with more links than the one that has just come gives way at once") {
    CHECK(who_goes({owned_by({1}), owned_by({2}), owned_by({2}), owned_by({3})}, 1000) == 1);
}

TEST_CASE("a crowd whose devices several members certify is each one's") {
    CHECK(who_goes({owned_by({1, 4}), owned_by({2, 3}), owned_by({2, 3}), owned_by({5})}) == 1);
}

TEST_CASE("a member who certifies the device of another does not draw it into their own crowd") {
    CHECK(who_goes({owned_by({1, 9}), owned_by({9}), owned_by({9}), owned_by({9})}) == 1);
}

TEST_CASE("whoever is known only from circles that nobody asked for goes before a member of a chosen one") {
    CHECK(who_goes({owned_by({1}), owned_by({1}), owned_by({2}, true), owned_by({1})}) == 2);
}

TEST_CASE("a device that belongs to no member any more goes before the members of chosen circles") {
    CHECK(who_goes({owned_by({1}), owned_by({1}), owned_by({}, true), owned_by({2})}) == 2);
}

TEST_CASE("whoever let this node's owner in and is no member yet counts as somebody with one link") {
    CHECK(who_goes({owned_by({}), owned_by({}), owned_by({1}), owned_by({1}), owned_by({})}) == 2);
    CHECK(who_goes({owned_by({1}), owned_by({}), owned_by({2})}) == 0);
}
