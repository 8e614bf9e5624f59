#include "node/net/returning.hpp"

#include <doctest/doctest.h>

#include "node/commands/contacts.hpp"
#include "node/commands/goings.hpp"
#include "node/commands/returning.hpp"
#include "node/net/call.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/sync/returning.hpp"
#include "store/digest/state_digest.hpp"
#include "tests/support/node/loopback.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;
using Back = protocol::ReturnedMessage::Back;

namespace {

namespace asio = boost::asio;

using ReturnOutcome = std::optional<Result<Back>>;

asio::awaitable<void> return_into(asio::any_io_executor strand, node::net::Parts parts, node::net::ReturnSetup setup,
                                  ReturnOutcome& outcome) {
    Result<Back> back = co_await node::net::come_back(strand, parts, setup);
    outcome.emplace(std::move(back));
}

asio::awaitable<void> ask_into(asio::any_io_executor strand, node::net::Parts parts,
                               std::shared_ptr<const node::net::Question> question,
                               std::optional<Result<node::net::Reply>>& outcome) {
    Result<node::net::Reply> reply = co_await node::net::ask_once(strand, parts, question);
    outcome.emplace(std::move(reply));
}

// Ada's path with Max on it, and Olive's club with both; Ada's machine is lost, `fresh` is her new one.
class Valley : public Loopback {
public:
    Valley() {
        begin_as(olive.member, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(max.member, "Max", MemberRole::mentor);
        begin_as(ada.member, "Ada", MemberRole::newcomer);
        join(olive.member, ada.member, "Ada", CircleKind::club, MemberRole::newcomer);
        join(olive.member, max.member, "Max", CircleKind::club, MemberRole::mentor);
        join(ada.member, max.member, "Max", CircleKind::path, MemberRole::mentor);
        tick_item(ada.member, "01.01", "heard the net");
        club = olive.member.circle(CircleKind::club);
        path = ada.member.circle(CircleKind::path);
        sync(ada.member, max.member);
        sync(ada.member, olive.member);
        sync(max.member, olive.member);
        max.start();
        olive.start();
    }

    Result<Back> come_back(NetNode& to) {
        ReturnOutcome outcome;
        asio::co_spawn(
            io, return_into(io.get_executor(), fresh.parts(), {must(node::net::parse_address(to.address()))}, outcome),
            [](std::exception_ptr) {});
        if (!until([&] { return outcome.has_value(); })) throw std::runtime_error("coming back came to no end");
        return *outcome;
    }
    // All of it: let back, everything pulled, certified, and the host sees that.
    void recover_from(NetNode& to, const std::vector<protocol::CircleId>& circles) {
        must(node::accept_return(fresh.member.context, must(come_back(to))));
        fresh.start();
        REQUIRE(until([&] { return same(to, circles); }));
        REQUIRE(must(node::certify_own_device(fresh.member.context)) == circles.size());
        for (const auto& circle : circles) fresh.network->on_news(circle);
        REQUIRE(until([&] { return same(to, circles); }));
        must(node::settle_in(fresh.member.context));
    }
    bool same(NetNode& other, const std::vector<protocol::CircleId>& circles) {
        return std::all_of(circles.begin(), circles.end(),
                           [&](const auto& circle) { return hold_the_same(fresh, other, circle); });
    }
    static std::string digest(NetNode& node, const protocol::CircleId& circle) {
        return to_hex(must(store::state_digest(node.member.db(), node.member.log(), circle)).view());
    }
    void remove_ada() {
        const protocol::RemoveBody body{ada.member.id(), "left", {}};
        must(node::say(olive.member.context, club, protocol::kind::remove, protocol::codec::encode(body)));
    }
    // What a caller gets who proves knowledge of Ada's id and says `words`.
    Result<node::net::Reply> say_to(NetNode& from, NetNode& to,
                                    std::function<Bytes(const protocol::Connection&)> words) {
        const auto question = std::make_shared<const node::net::Question>(node::net::Question{
            must(node::net::parse_address(to.address())), protocol::return_invite(ada.member.id()),
            protocol::return_psk(ada.member.id()), std::move(words), "Nothing", Error{Fault::refused, "Silence."}});
        std::optional<Result<node::net::Reply>> outcome;
        asio::co_spawn(io, ask_into(io.get_executor(), from.parts(), question, outcome), [](std::exception_ptr) {});
        if (!until([&] { return outcome.has_value(); })) throw std::runtime_error("the call came to no end");
        return *outcome;
    }

    SeededRandom random{77};
    protocol::PaperSeed paper = protocol::PaperSeed::random(random);
    NetNode olive{io, clock, 1};
    NetNode max{io, clock, 2};
    NetNode ada{io, clock, 3, &paper};
    NetNode fresh{io, clock, 4, &paper};
    NetNode eve{io, clock, 5};
    protocol::CircleId club;
    protocol::CircleId path;
};

}  // namespace

TEST_CASE("a paper key and one peer bring everything back on an empty machine") {
    Valley v;
    v.recover_from(v.max, {v.path, v.club});
    CHECK(Valley::digest(v.fresh, v.path) == Valley::digest(v.max, v.path));
    CHECK(Valley::digest(v.fresh, v.club) == Valley::digest(v.max, v.club));
    CHECK(must(node::way(v.fresh.member.context, "")).owner.name == "Ada");
}

TEST_CASE("the new device writes, and what it writes counts as the member's") {
    Valley v;
    v.recover_from(v.max, {v.path, v.club});
    tick_item(v.fresh.member, "01.02");
    REQUIRE(v.until([&] { return v.same(v.max, {v.path}); }));
    const auto view = must(node::way(v.max.member.context, "Ada"));
    CHECK(domain::state_of(view.states, must(domain::parse_item_id("01.02"))).phase == domain::Phase::ticked);
}

TEST_CASE("a peer who shares one circle brings that one back, and another peer the rest") {
    Valley v;
    v.recover_from(v.olive, {v.club});
    CHECK_FALSE(has_key(v.fresh.member, v.path));
    must(node::accept_return(v.fresh.member.context, must(v.come_back(v.max))));
    v.fresh.network->look_again();
    CHECK(v.until([&] { return v.same(v.max, {v.path, v.club}); }));
}

TEST_CASE("a removed member is not answered") {
    Valley v;
    v.remove_ada();
    CHECK(must_fail(v.come_back(v.olive)).fault() == Fault::refused);
    CHECK(v.fresh.member.keys().empty());
}

TEST_CASE("a member who is removed while their new device waits for its certificate is out") {
    Valley v;
    must(node::accept_return(v.fresh.member.context, must(v.come_back(v.olive))));
    const auto noise = v.fresh.member.me().noise.pub;
    CHECK(must(store::circles_with(v.olive.member.db(), v.olive.member.id(), noise)).size() == 1);
    v.remove_ada();
    CHECK(must(store::circles_with(v.olive.member.db(), v.olive.member.id(), noise)).empty());
}

TEST_CASE("a machine that came back and was lost afterwards is cut off, and neither heard nor called again") {
    Valley v;
    v.recover_from(v.olive, {v.club});
    v.olive.knows(v.fresh);
    auto& olive = v.olive.member;
    const auto& lost = v.fresh.member.me();
    const auto is_called = [&] {
        const auto peers = must(store::reachable_peers(olive.db(), olive.id(), olive.me().device_id()));
        return std::any_of(peers.begin(), peers.end(), [&](const auto& p) { return p.device == lost.device_id(); });
    };
    REQUIRE(is_called());
    REQUIRE(v.until([&] { return v.fresh.network->links_in_step() == 1; }));
    must(node::report_lost(olive.context, to_hex(lost.device_id().view()).substr(0, 8), "Ada"));
    CHECK(must(store::circles_with(olive.db(), olive.id(), lost.noise.pub)).empty());
    CHECK_FALSE(is_called());
    CHECK(v.until([&] { return v.fresh.network->links_in_step() == 0; }));
}

TEST_CASE("somebody in no shared circle is not answered") {
    Valley v;
    begin_as(v.eve.member, "Eve", MemberRole::mentor);
    v.eve.start();
    CHECK(must_fail(v.come_back(v.eve)).fault() == Fault::refused);
}

TEST_CASE("who knows a member's id and lacks the identity gets silence") {
    Valley v;
    const auto& eve = v.eve.member.me();
    const auto forged = [&](const protocol::Connection& connection) {
        protocol::DeviceCertificate certificate = eve.certificate;
        certificate.member = v.ada.member.id();
        return protocol::encode_message(protocol::make_return(certificate, eve.member, connection.handshake_hash()));
    };
    CHECK(must_fail(v.say_to(v.eve, v.olive, forged)).sentence() == "Silence.");
    const auto honest = [&](const protocol::Connection& connection) {
        return protocol::encode_message(
            protocol::make_return(eve.certificate, eve.member, connection.handshake_hash()));
    };
    CHECK(must_fail(v.say_to(v.eve, v.olive, honest)).sentence() == "Silence.");
}

TEST_CASE("a proof of an earlier call is no good for a later one") {
    Valley v;
    const auto replayed = [&](const protocol::Connection&) {
        protocol::HandshakeHash other{};
        return protocol::encode_message(
            protocol::make_return(v.fresh.member.me().certificate, v.fresh.member.me().member, other));
    };
    CHECK(must_fail(v.say_to(v.fresh, v.olive, replayed)).sentence() == "Silence.");
}

TEST_CASE("a caller who says anything else than who they are gets silence") {
    Valley v;
    for (const Bytes& words : {Bytes{}, Bytes{11}, Bytes{0xFF, 1, 2}, protocol::encode_message(protocol::ByeMessage{}),
                               protocol::encode_message(protocol::ReturnedMessage{}),
                               protocol::encode_message(join_message(v.eve.member, "Eve"))}) {
        const auto reply = v.say_to(v.eve, v.olive, [&](const protocol::Connection&) { return words; });
        if (!reply) continue;
        const auto answer = protocol::decode_message(reply.value().message);
        const auto* welcome = std::get_if<protocol::WelcomeMessage>(&answer.value());
        REQUIRE(welcome != nullptr);
        CHECK_FALSE(welcome->joined.has_value());
    }
}

TEST_CASE("a desk does not come back from others, and begins anew") {
    Valley v;
    const auto desk = v.ada.member.circle(CircleKind::desk);
    v.recover_from(v.max, {v.path, v.club});
    CHECK_FALSE(has_key(v.fresh.member, desk));
    CHECK(v.fresh.member.circle(CircleKind::desk) != desk);
}
