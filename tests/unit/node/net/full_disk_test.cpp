// A node whose own disk takes nothing more: how often it is called, and what it says of it.

#include <doctest/doctest.h>

#include "node/commands/reach.hpp"
#include "tests/support/node/loopback.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

// As long as one lives a database in memory has no page left.
class FullDisk {
public:
    explicit FullDisk(MemberNode& member) : db_(member.db()) {
        must(db_.execute("CREATE TABLE filler (bytes BLOB)"));
        must(db_.execute("PRAGMA max_page_count = 1"));  // as many as there are
        for (std::size_t size = 100'000; size > 1000; size /= 2) {
            while (db_.run("INSERT INTO filler VALUES (?1)", Bytes(size))) continue;
        }
    }
    FullDisk(const FullDisk&) = delete;
    FullDisk& operator=(const FullDisk&) = delete;
    ~FullDisk() { must(db_.execute("PRAGMA max_page_count = 1000000")); }

private:
    store::sqlite::Database& db_;
};

// Counts those that were let in by the door of the house.
class CountingHost : public QuietHost {
public:
    using QuietHost::QuietHost;
    std::shared_ptr<node::net::GreetingDoor> greeting_door() override {
        ++calls;
        return QuietHost::greeting_door();
    }

    int calls = 0;
};

// Olive's club with Ada in it, in step. Ada knows where Olive is, and Olive does not know where Ada is.
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
        must(store::remember_address(ada.member.db(), olive.member.me().device_id(), olive.address()));
        ada.start();
        REQUIRE(until([&] { return in_step(); }));
    }

    bool in_step() { return hold_the_same(olive, ada, club()) && ada.network->links_in_step() > 0; }
    // More than fits in between.
    static void say_much(NetNode& who) {
        for (int k = 0; k < 3; ++k) {
            node::CardRequest request;
            request.topics = std::vector<std::string>(60, "topic of the long card " + std::to_string(k));
            must(node::change_card(who.member.context, request));
        }
    }
    // Olive takes calls again, by a door that counts.
    void count_calls() {
        olive.vanish();
        node::net::Parts parts{
            olive.member.db(), olive.member.context.states, olive.member.log(), olive.member.me(), clock, random, door};
        olive.network = std::make_unique<node::net::Network>(io.get_executor(), parts);
        must(olive.network->listen({"127.0.0.1", olive.port}));
        olive.network->start();
    }
    // The same, and Ada calls, and waits twice as long after each that fails, without end.
    void begin_to_count() {
        ada.vanish();
        count_calls();
        ada.network =
            std::make_unique<node::net::Network>(io.get_executor(), ada.parts(), node::net::NetworkTimes{1, 1'000'000});
        ada.network->start();
    }
    static std::vector<node::ReachLine> lines_of(NetNode& who) { return must(node::reached(who.member.context)); }
    static bool names_own_disk(const std::vector<node::ReachLine>& lines) {
        return lines.size() == 1 && lines[0].state.starts_with("not kept by this machine's disk");
    }
    protocol::CircleId club() { return olive.member.circle(CircleKind::club); }

    NetNode olive{io, clock, 1};
    NetNode ada{io, clock, 3};
    CountingHost door{olive.member.context};
    SeededRandom random{17};
};

}  // namespace

TEST_CASE("whoever calls a node whose disk is full waits longer and longer") {
    Pair p;
    const FullDisk full(p.olive.member);
    p.begin_to_count();
    Pair::say_much(p.ada);
    for (int step = 0; step < 1500; ++step) p.run_step();
    CHECK(p.door.calls > 2);
    CHECK(p.door.calls < 15);
}

TEST_CASE("a caller whose own disk is full waits longer and longer") {
    Pair p;
    const FullDisk full(p.ada.member);
    p.begin_to_count();
    Pair::say_much(p.olive);
    for (int step = 0; step < 1500; ++step) p.run_step();
    CHECK(p.door.calls > 2);
    CHECK(p.door.calls < 15);
}

TEST_CASE("after a session that brought something there or here the next call is made at once, however often") {
    Pair p;
    p.begin_to_count();
    REQUIRE(p.until([&] { return p.in_step(); }));
    const std::int64_t begun = p.clock.now.ms;
    for (int k = 0; k < 12; ++k) {
        p.count_calls();
        REQUIRE(p.until([&] { return p.ada.network->links() == 0; }));
        Pair::say_much(k % 2 == 0 ? p.olive : p.ada);
        REQUIRE(p.until([&] { return p.in_step(); }));
    }
    CHECK(p.clock.now.ms < begun + 2000);
}

TEST_CASE("a called node says that its own disk did not keep what came, and what to do") {
    Pair p;
    const FullDisk full(p.olive.member);
    Pair::say_much(p.ada);
    REQUIRE(p.until([&] { return Pair::names_own_disk(Pair::lines_of(p.olive)); }));
    const node::ReachLine line = Pair::lines_of(p.olive)[0];
    CHECK(line.name == "Ada");
    CHECK(line.why == "The disk is full: nothing of this step was stored; free some space and try again.");
    CHECK(line.advice.find("this machine's own disk") != std::string::npos);
}

TEST_CASE("a caller says that its own disk did not keep what came, and no longer that both hold the same") {
    Pair p;
    const FullDisk full(p.ada.member);
    Pair::say_much(p.olive);
    REQUIRE(p.until([&] { return Pair::names_own_disk(Pair::lines_of(p.ada)); }));
    CHECK_FALSE(Pair::lines_of(p.ada)[0].steps.back().done);
}

TEST_CASE("what came of a call is told where the disk does not take the note") {
    Pair p;
    // A note of it is longer than what is free.
    const std::string far(4000, 'x');
    must(store::remember_address(p.ada.member.db(), p.olive.member.me().device_id(), far + ":7300"));
    const FullDisk full(p.ada.member);
    p.olive.vanish();
    CHECK(p.until([&] { return Pair::names_own_disk(Pair::lines_of(p.ada)); }));
}

TEST_CASE("once there is room the next call brings what is missing, and nothing is said of the disk any more") {
    Pair p;
    {
        const FullDisk full(p.olive.member);
        Pair::say_much(p.ada);
        REQUIRE(p.until([&] { return Pair::names_own_disk(Pair::lines_of(p.olive)); }));
    }
    CHECK(p.until([&] { return p.in_step() && Pair::lines_of(p.olive).empty(); }));
}
