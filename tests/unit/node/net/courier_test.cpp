// Members who are never online together meet at a courier, which learns nothing of what they say.

#include <doctest/doctest.h>

#include <boost/asio/connect.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <list>

#include "node/commands/goings.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/net/courier_visit.hpp"
#include "tests/support/node/courier_valley.hpp"
#include "tests/support/node/hostile_peer.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::AccessVerdict;
using protocol::CircleKind;
using protocol::MemberRole;
using protocol::VisitOutcome;

namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

node::CircleView path_view(NetNode& who, const protocol::CircleId& path) {
    for (const node::CircleView& one : must(node::circles(who.member.db()))) {
        if (one.id == path) return one;
    }
    throw std::runtime_error("not on that path");
}

// Takes a caller in and never comes to an end.
class EndlessTalk : public node::net::Talk {
public:
    Result<void> on_established(protocol::Connection&) override { return ok(); }
    Result<void> on_message(ByteView) override { return ok(); }
    std::optional<Bytes> next_output() override { return std::nullopt; }
    bool is_over() const override { return false; }
};

// Takes one caller and keeps the key that it called with.
class KeyListener : public node::net::Talk {
public:
    explicit KeyListener(std::vector<protocol::DhPublic>& keys) : keys_(keys) {}
    Result<void> on_established(protocol::Connection& connection) override {
        keys_.push_back(connection.remote_static());
        over_ = true;
        return ok();
    }
    Result<void> on_message(ByteView) override { return ok(); }
    std::optional<Bytes> next_output() override { return std::nullopt; }
    bool is_over() const override { return over_; }

private:
    std::vector<protocol::DhPublic>& keys_;
    bool over_ = false;
};

asio::awaitable<void> run_duplex(std::shared_ptr<node::net::Duplex> duplex) {
    const Result<void> outcome = co_await duplex->run();
    static_cast<void>(outcome.has_value());
}

// Takes the next call to that courier in the place of its server, which is not listening.
void take_call(CourierValley& v, CourierNode& courier, tcp::acceptor& acceptor, Random& random,
               std::unique_ptr<node::net::Talk> talk) {
    acceptor.async_accept([&, talk = std::move(talk)](const boost::system::error_code&, tcp::socket socket) mutable {
        protocol::ResponderSetup setup;
        setup.local_static = {courier.me->noise.pub, courier.me->noise.secret.clone()};
        auto connection = protocol::Connection::respond(std::move(setup), random, v.clock.monotonic());
        auto duplex =
            std::make_shared<node::net::Duplex>(std::move(socket), std::move(connection), v.clock, std::move(talk));
        asio::co_spawn(v.io, run_duplex(duplex), [](std::exception_ptr) {});
    });
}

}  // namespace

TEST_CASE("a newcomer and a mentor who never meet reach the same state through a courier") {
    CourierValley v;
    v.use_courier();
    tick_item(v.ada.member, "01.01", "heard the net");
    CHECK(must(v.visit(v.ada)).in_step);
    CHECK(must(v.visit(v.max)).in_step);
    sign_item(v.max.member, "Ada", "01.01");
    CHECK(must(v.visit(v.max)).in_step);
    CHECK(must(v.visit(v.ada)).in_step);
    CHECK(v.digest(v.ada) == v.digest(v.max));
    CHECK(v.digest(v.ada) != v.digest(v.gwen));
}

TEST_CASE("a courier holds no key, no name and no member list") {
    CourierValley v;
    v.use_courier();
    must(v.visit(v.ada));
    CHECK(v.courier.count("SELECT count(*) FROM event") > 4);
    CHECK(v.courier.count("SELECT count(*) FROM unread") == v.courier.count("SELECT count(*) FROM event"));
    CHECK(v.courier.count("SELECT count(*) FROM epoch_key") == 0);
    CHECK(v.courier.count("SELECT count(*) FROM circle") == 0);
    CHECK(v.courier.count("SELECT count(*) FROM peer") == 0);
    CHECK(v.courier.count("SELECT count(*) FROM sync_cursor") == 0);
}

TEST_CASE("somebody who joins late holds the same as who was there always, from the courier alone") {
    CourierValley v;
    v.use_courier();
    NetNode sue{v.io, v.clock, 44};
    begin_as(sue.member, "Sue", MemberRole::second_adult);
    v.ada.start();
    node::InviteRequest request;
    request.role = MemberRole::second_adult;
    request.address = v.ada.address();
    const node::InviteCode code = must(node::parse_code(must(node::invite(v.ada.member.context, request)).code));
    node::net::JoinSetup setup;
    setup.address = must(node::net::parse_address(code.address));
    setup.invite = code.id;
    setup.secret = code.secret;
    setup.who = join_message(sue.member, "Sue");
    const auto joined = must(join_now(v, sue, setup));
    v.ada.vanish();
    must(node::accept_welcome(sue.member.context, joined));
    REQUIRE(must(node::circles(sue.member.db())).size() == 1);  // the own desk: nothing of the path was synced
    must(v.visit(v.ada));
    CHECK(must(v.visit(sue)).in_step);
    must(v.visit(sue));  // her own first words
    must(v.visit(v.ada));
    CHECK(v.digest(sue) == v.digest(v.ada));
}

TEST_CASE("a member who was away at a change of key gets it through the courier alone") {
    CourierValley v;
    v.use_courier();
    must(v.visit(v.ada));
    must(node::remove_person(v.ada.member.context, path_view(v.ada, v.path), "Max", ""));
    tick_item(v.ada.member, "01.01", "after the change");
    CHECK(must(v.visit(v.ada)).said == protocol::CourierSaid::renewed);
    const VisitOutcome outcome = must(v.visit(v.gwen));
    CHECK(outcome.verdict == AccessVerdict::granted);
    CHECK(outcome.in_step);
    CHECK(v.digest(v.gwen) == v.digest(v.ada));
    CHECK(must(v.gwen.member.log().missing_keys(v.path)).empty());
}

TEST_CASE("a courier put back to before a change of key gets the copies of the new key again") {
    CourierValley v;
    v.use_courier();
    must(v.visit(v.ada));
    must(v.courier.db.run("CREATE TEMP TABLE place_before AS SELECT * FROM courier_place"));
    must(node::rotate(v.ada.member.context, path_view(v.ada, v.path)));
    must(v.visit(v.ada));
    for (const char* step : {"UPDATE courier_place SET access = (SELECT access FROM place_before)",
                             "DELETE FROM courier_former", "DELETE FROM courier_copy"}) {
        must(v.courier.db.run(step));
    }
    must(v.visit(v.ada));  // finds an older key, and says the newest once more
    must(v.visit(v.ada));
    CHECK(must(v.visit(v.gwen)).in_step);
}

TEST_CASE("who was removed gets nothing more from the courier once the key is renewed") {
    CourierValley v;
    v.use_courier();
    must(v.visit(v.ada));
    must(v.visit(v.max));
    const std::string before = events_of(v.max.member, v.path);
    must(node::remove_person(v.ada.member.context, path_view(v.ada, v.path), "Max", ""));
    must(v.visit(v.ada));
    CHECK(must(v.visit(v.max)).verdict == AccessVerdict::former_key);
    CHECK(events_of(v.max.member, v.path) == before);
    CHECK(v.sight(v.max).trouble.find("newer key") != std::string::npos);
}

TEST_CASE("a member who changed the key before the registrar came is let in with the older one") {
    CourierValley v;
    v.use_courier();
    must(v.visit(v.ada));
    must(node::rotate(v.gwen.member.context, path_view(v.gwen, v.path)));
    CHECK(must(v.visit(v.gwen)).in_step);  // left the copies, too
    CHECK(must(v.visit(v.max)).in_step);
    CHECK(v.digest(v.max) == v.digest(v.gwen));
    CHECK(must(v.visit(v.ada)).in_step);
    CHECK(must(v.visit(v.ada)).said == protocol::CourierSaid::renewed);
    CHECK(must(v.visit(v.max)).in_step);
}

TEST_CASE("a used code takes no second place") {
    CourierValley v;
    const std::string code = v.courier.code();
    must(v.take_place(v.ada, code));
    const Error error = must_fail(v.take_place(v.gwen, code));
    CHECK(error.fault() == Fault::refused);
    CHECK(error.sentence().find("ask its keeper for a new one") != std::string::npos);
    CHECK(v.courier.count("SELECT count(*) FROM courier_place") == 1);
}

TEST_CASE("a member takes over the place of a registrar who is gone, with a new code") {
    CourierValley v;
    v.use_courier();
    must(v.visit(v.ada));
    must(v.take_place(v.gwen, v.courier.code()));
    CHECK(v.courier.count("SELECT count(*) FROM courier_place") == 1);
    must(node::rotate(v.gwen.member.context, path_view(v.gwen, v.path)));
    CHECK(must(v.visit(v.gwen)).said == protocol::CourierSaid::renewed);
}

TEST_CASE("whoever was removed takes no place over with a keeper's code") {
    CourierValley v;
    v.use_courier();
    must(v.visit(v.ada));
    must(node::remove_person(v.ada.member.context, path_view(v.ada, v.path), "Max", ""));
    must(v.visit(v.ada));  // renewed
    const auto code = must(node::parse_code(v.courier.code()));
    const protocol::PlaceMessage words{v.path, {}, {}};
    std::optional<Result<test::Place>> outcome;
    asio::co_spawn(
        v.io,
        test::place_into(v.io.get_executor(), v.max.parts(),
                         {must(node::net::parse_address(v.courier.address())), code.id, code.secret, words}, outcome),
        [](std::exception_ptr) {});
    REQUIRE(v.until([&] { return outcome.has_value(); }));
    CHECK(must_fail(*outcome).sentence().starts_with("This circle has a place here already"));
    CHECK(must(v.visit(v.ada)).in_step);
}

TEST_CASE("a mentor may not take a place for a path") {
    CourierValley v;
    CHECK(must_fail(v.take_place(v.max, v.courier.code())).fault() == Fault::refused);
    CHECK(v.courier.count("SELECT count(*) FROM courier_code") == 1);
}

TEST_CASE("receipts say what is stored and how much of one's own is not") {
    CourierValley v;
    v.use_courier();
    CHECK_FALSE(v.sight(v.ada).stored_at.has_value());
    must(v.visit(v.ada));
    const WallTime visited = v.clock.now;
    CHECK(v.sight(v.ada).own_beyond == 0);
    REQUIRE(v.sight(v.ada).stored_at.has_value());
    CHECK(v.sight(v.ada).stored_at->ms <= visited.ms);
    tick_item(v.ada.member, "01.01", "one");
    CHECK(v.sight(v.ada).own_beyond == 1);
    CHECK(node::in_words(v.sight(v.ada)).find("1 event of yours not covered yet") != std::string::npos);
    must(v.visit(v.ada));
    CHECK(v.sight(v.ada).own_beyond == 0);
}

TEST_CASE("a courier without room says so, and what it has can still be fetched") {
    CourierValley v;
    v.use_courier(1);
    must(v.visit(v.ada));
    REQUIRE(v.courier.db.run("UPDATE courier_place SET quota = used").has_value());
    tick_item(v.ada.member, "01.01", "no room for this");
    const VisitOutcome full = must(v.visit(v.ada));
    CHECK(full.full);
    CHECK_FALSE(full.in_step);
    CHECK(v.sight(v.ada).trouble.find("no more room") != std::string::npos);
    CHECK(v.sight(v.ada).own_beyond == 1);
    CHECK(must(v.visit(v.max)).receipt.has_value());
}

TEST_CASE("a courier that lost or hides what it gave a receipt for is found out") {
    CourierValley v;
    v.use_courier();
    tick_item(v.ada.member, "01.01", "hidden from Max");
    must(v.visit(v.ada));
    // It leaves out the last event of Ada's log and hands Max a receipt for the rest.
    for (const std::string_view step :
         {"UPDATE log SET next_seq = next_seq - 1, head = (SELECT id FROM event WHERE event.log_ref = log.log_ref AND "
          "event.seq = log.next_seq - 2) WHERE founding = 1",
          "DELETE FROM unread WHERE seq = (SELECT next_seq FROM log WHERE log.log_ref = unread.log_ref)",
          "DELETE FROM event WHERE seq = (SELECT next_seq FROM log WHERE log.log_ref = event.log_ref)"}) {
        must(v.courier.db.run(step));
    }
    CHECK(must(v.visit(v.max)).in_step);
    CHECK(v.digest(v.max) != v.digest(v.ada));
    SUBCASE("by whoever has the receipt") {
        must(v.visit(v.ada));
        CHECK(v.sight(v.ada).trouble.find("had given a receipt for") != std::string::npos);
        must(v.visit(v.max));
        CHECK(v.digest(v.max) == v.digest(v.ada));
    }
    SUBCASE("by the root of any other member") {
        v.meet(v.ada, v.max);
        must(v.visit(v.max));
        CHECK(v.digest(v.max) == v.digest(v.ada));
        must(v.visit(v.ada));
        CHECK(v.digest(v.max) == v.digest(v.ada));
    }
}

TEST_CASE("a place that ended is named as such, and a new one is filled again") {
    CourierValley v;
    v.use_courier();
    must(v.visit(v.ada));
    REQUIRE(store::remove_place(v.courier.db, v.path).has_value());
    CHECK(must(v.visit(v.ada)).verdict == AccessVerdict::unknown);
    CHECK(v.sight(v.ada).trouble.find("does not keep this circle") != std::string::npos);
    CHECK(v.sight(v.ada).own_beyond > 0);
    must(v.take_place(v.ada, v.courier.code()));
    CHECK(must(v.visit(v.ada)).in_step);
    CHECK(v.sight(v.ada).own_beyond == 0);
}

TEST_CASE("the registrar ends the place, and the circle hears that it is gone") {
    CourierValley v;
    v.use_courier();
    must(v.visit(v.ada));
    const auto withdrawn = must(node::withdraw_couriers(v.ada.member.context, path_view(v.ada, v.path), ""));
    REQUIRE(withdrawn.to_stop.size() == 1);
    CHECK(v.stop(v.ada, withdrawn.to_stop.front()).has_value());
    CHECK(v.courier.count("SELECT count(*) FROM event") == 0);
    CHECK(v.courier.count("SELECT count(*) FROM courier_place") == 0);
    v.meet(v.ada, v.max);
    CHECK(must(store::couriers_for(v.max.member.db(), v.max.member.id())).empty());
    CHECK(must(store::registrars_to_stop(v.ada.member.db())).empty());
}

TEST_CASE("each call is made under a key of its own, never the device's") {
    CourierValley v;
    v.use_courier();
    std::vector<protocol::DhPublic> keys;
    v.courier.server->stop();
    tcp::acceptor acceptor(v.io, tcp::endpoint(asio::ip::address_v4::loopback(), v.courier.port));
    SeededRandom random{45};
    for (int i = 0; i < 2; ++i) {
        take_call(v, v.courier, acceptor, random, std::make_unique<KeyListener>(keys));
        CHECK(must_fail(v.visit(v.ada)).fault() == Fault::network);
    }
    REQUIRE(keys.size() == 2);
    CHECK(keys[0] != keys[1]);
    for (const protocol::DhPublic& key : keys) CHECK(key != v.ada.member.me().noise.pub);
}

TEST_CASE("a courier that does not answer is noted with the reason") {
    CourierValley v;
    v.use_courier();
    v.courier.server.reset();
    CHECK(must_fail(v.visit(v.ada)).fault() == Fault::network);
    CHECK(v.sight(v.ada).trouble.find("does not answer") != std::string::npos);
}

TEST_CASE("a caller who says nothing is let go") {
    CourierValley v;
    v.courier.server.reset();
    v.courier.start({3, 1000, 1000});
    tcp::socket silent(v.io);
    silent.connect(tcp::endpoint(asio::ip::address_v4::loopback(), v.courier.port));
    REQUIRE(v.until([&] { return v.courier.server->callers() == 1; }));
    CHECK(v.until([&] { return v.courier.server->callers() == 0; }));
}

TEST_CASE("one address holds a few connections, not all") {
    CourierValley v;
    std::vector<tcp::socket> sockets;
    for (int i = 0; i < 20; ++i) {
        sockets.emplace_back(v.io);
        sockets.back().connect(tcp::endpoint(asio::ip::address_v4::loopback(), v.courier.port));
    }
    bool closed = false;
    std::array<char, 1> byte{};
    sockets[3].async_read_some(asio::buffer(byte),
                               [&](const boost::system::error_code& error, std::size_t) { closed = bool(error); });
    REQUIRE(v.until([&] { return closed; }));
    CHECK(v.courier.server->callers() == 16);
}

TEST_CASE("callers who fill a courier and have shown no key of a circle keep no member out") {
    CourierValley v;
    v.use_courier();
    std::list<tcp::socket> silent;
    std::list<HostilePeer> handshakes;  // with the courier's key, of which anybody may have heard
    SUBCASE("silent ones") {
        for (int i = 0; i < 128; ++i) {
            silent.emplace_back(v.io,
                                tcp::endpoint(asio::ip::make_address("127.0.0." + std::to_string(1 + i / 16)), 0));
            silent.back().connect(tcp::endpoint(asio::ip::address_v4::loopback(), v.courier.port));
        }
        REQUIRE(v.until([&] { return v.courier.server->callers() == 128; }));
    }
    SUBCASE("some that shake hands and claim a circle that is not there") {
        for (int i = 0; i < 16; ++i) {
            handshakes.emplace_back(v, v.courier.port);
            handshakes.back().shake_hands(v.max.member.me(), v.courier.me->noise.pub);
            handshakes.back().say(encode_courier_message(protocol::AccessMessage{}));
        }
        REQUIRE(v.courier.server->callers() == 16);
    }
    CHECK(must(v.visit(v.ada)).in_step);
}

TEST_CASE("a running node visits at its start, after news of its own, and not for what it fetched") {
    CourierValley v;
    v.use_courier();
    node::net::VisitTimes times;
    times.look_ms = 1;
    times.after_news_ms = 20;
    node::net::CourierVisits visits(v.io.get_executor(), v.ada.parts(), times);
    v.ada.member.context.news = [&](const protocol::CircleId& circle) { visits.on_news(circle); };
    visits.start();
    REQUIRE(v.until([&] { return visits.good_visits() == 1; }));
    tick_item(v.ada.member, "01.01", "news");
    REQUIRE(v.until([&] { return visits.good_visits() == 2; }));
    CHECK(must(v.visit(v.max)).in_step);
    CHECK(v.digest(v.max) == v.digest(v.ada));
    visits.on_news(v.path);
    const std::int64_t later = v.clock.now.ms + 200;
    REQUIRE(v.until([&] { return v.clock.now.ms > later; }));
    CHECK(visits.good_visits() == 2);
}

TEST_CASE("a courier that goes on for ever keeps no other from being visited") {
    CourierValley v;
    v.use_courier();
    CourierNode endless(v.io, v.clock, 46);
    endless.start();
    must(v.take_place_at(endless, v.ada, endless.code()));
    endless.server->stop();
    REQUIRE(v.where(v.ada).said.noise == endless.me->noise.pub);  // the one that is called first
    tcp::acceptor acceptor(v.io, tcp::endpoint(asio::ip::address_v4::loopback(), endless.port));
    SeededRandom random{47};
    take_call(v, endless, acceptor, random, std::make_unique<EndlessTalk>());
    node::net::VisitTimes times;
    times.look_ms = 1;
    times.hold_ms = 20;
    node::net::CourierVisits visits(v.io.get_executor(), v.ada.parts(), times);
    visits.start();
    // Shorter than the visit that does not end is waited for, and no step waits for what does not come.
    asio::steady_timer pace(v.io);
    std::function<void()> go_on = [&] {
        pace.expires_after(std::chrono::milliseconds(1));
        pace.async_wait([&](const boost::system::error_code& error) {
            if (!error) go_on();
        });
    };
    go_on();
    const std::int64_t too_late = v.clock.now.ms + 10'000;
    static_cast<void>(v.until([&] { return visits.good_visits() == 1 || v.clock.now.ms > too_late; }));
    CHECK(visits.good_visits() == 1);
}

TEST_CASE("what is said while a visit runs is left there soon after it") {
    CourierValley v;
    v.use_courier();
    node::net::VisitTimes times;
    times.look_ms = 1;
    times.after_news_ms = 5;
    node::net::CourierVisits visits(v.io.get_executor(), v.ada.parts(), times);
    visits.start();
    REQUIRE(v.until([&] { return v.courier.server->callers() == 1; }));
    tick_item(v.ada.member, "01.01", "said meanwhile");
    REQUIRE(v.until([&] { return visits.good_visits() >= 1 && v.sight(v.ada).own_beyond == 0; }));
    CHECK(must(v.visit(v.max)).in_step);
    CHECK(v.digest(v.max) == v.digest(v.ada));
}

TEST_CASE("a courier that cannot be reached is called with longer and longer pauses") {
    CourierValley v;
    v.use_courier();
    v.courier.server.reset();
    node::net::VisitTimes times;
    times.look_ms = 1;
    times.first_retry_ms = 50;
    node::net::CourierVisits visits(v.io.get_executor(), v.ada.parts(), times);
    visits.start();
    const std::int64_t later = v.clock.now.ms + 400;
    REQUIRE(v.until([&] { return v.clock.now.ms > later; }));
    CHECK(visits.good_visits() == 0);
    v.courier.start();
    visits.look_again();
    CHECK(v.until([&] { return visits.good_visits() == 1; }));
}
