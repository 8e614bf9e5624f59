// A circle's past that comes in one piece: members and what counts are worked out now and then, and once at the end.

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "store/digest/state_digest.hpp"
#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::Person;

namespace {

constexpr std::size_t people = 90;  // more than may wait

// A club whose members have each said two things; every member wrote a log.
struct Past {
    test::SeededRandom random{61};
    std::vector<Person> members;
    EventLogNode node{62};
    CircleId club;
    std::vector<Run> runs;

    Past() {
        for (std::size_t i = 0; i < people; ++i) {
            members.push_back(test::make_person("Member " + std::to_string(i), random));
        }
        club = node.found(members[0], CircleKind::club, MemberRole::officer);
        std::vector<store::NewEvent> admissions;
        for (std::size_t i = 1; i < people; ++i) {
            const Person& m = members[i];
            const AdmitBody body{m.id(), MemberRole::newcomer, 0, m.name, false, {m.certificate()}};
            admissions.push_back({club, kind::admit, codec::encode(body), {}});
        }
        REQUIRE(node.log.append(admissions, node.now).has_value());
        for (const Person& m : members) {
            node.act_as(m);
            const store::NewEvent box{club, kind::paper_box, codec::encode(PaperBoxBody{m.box.pub}), {}};
            const store::NewEvent note{club, kind::note, codec::encode(m.name), {}};
            REQUIRE(node.log.append({box, note}, node.now).has_value());
        }
        const auto heads = node.log.heads(club);
        for (const LogHead& head : heads.value()) runs.push_back(node.log.read_run(club, head.log, 0).value());
        REQUIRE(runs.size() == people);
    }
    store::StateDigest digest(EventLogNode& of) const { return store::state_digest(of.db, of.log, club).value(); }
};

Past& past() {
    static Past one;
    return one;
}

// Has the key and nothing else.
struct Newcomer {
    explicit Newcomer(std::uint64_t seed) : node(seed) {
        REQUIRE(node.log.add_key(past().club, past().node.log.current_key(past().club).value()).has_value());
    }
    void take(std::span<const Run> runs) {
        REQUIRE(node.log.append_burst(past().club, {runs.begin(), runs.end()}).has_value());
    }
    std::int64_t waiting() { return node.count("SELECT count(*) FROM unsettled"); }

    EventLogNode node;
};

}  // namespace

TEST_CASE("a past that came in bursts, in any order, is what it is where it was written") {
    const store::StateDigest expected = past().digest(past().node);
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        CAPTURE(seed);
        test::SeededRandom dice(seed);
        std::vector<Run> runs = past().runs;
        for (std::size_t i = runs.size() - 1; i > 0; --i) std::swap(runs[i], runs[dice.next() % (i + 1)]);
        Newcomer there(100 + seed);
        for (std::size_t at = 0; at < runs.size();) {
            const std::size_t count = std::min<std::size_t>(1 + dice.next() % 7, runs.size() - at);
            there.take(std::span(runs).subspan(at, count));
            at += count;
        }
        REQUIRE(there.node.log.end_burst(past().club).has_value());
        CHECK(there.waiting() == 0);
        CHECK(there.node.log.heads(past().club).value() == past().node.log.heads(past().club).value());
        CHECK(past().digest(there.node) == expected);
    }
}

TEST_CASE("in a burst members are shown before it has ended") {
    Newcomer there(110);
    const auto order = past().node.log.oldest_first(past().club).value();
    REQUIRE(order.size() == people);
    const auto founder =
        std::find_if(past().runs.begin(), past().runs.end(), [&](const Run& run) { return run.log == order.front(); });
    REQUIRE(founder != past().runs.end());
    there.take({founder, 1});
    CHECK(there.node.count("SELECT count(*) FROM member") == people);
    CHECK(there.waiting() == 0);
    std::vector<Run> others = past().runs;
    std::erase_if(others, [&](const Run& run) { return run.log == founder->log; });
    for (const Run& run : std::span(others).first(10)) there.take({&run, 1});
    CHECK(there.waiting() == 1);
    for (const Run& run : std::span(others).subspan(10)) there.take({&run, 1});
    CHECK(there.node.count("SELECT count(*) FROM author") >= static_cast<std::int64_t>(people / 2));
}

TEST_CASE("what waits is worked out by the next run that comes as news") {
    Newcomer there(111);
    there.take(std::span(past().runs).first(20));
    CHECK(there.waiting() == 1);
    REQUIRE(there.node.log.append_runs(past().club, {past().runs.begin() + 20, past().runs.end()}).has_value());
    CHECK(there.waiting() == 0);
    CHECK(past().digest(there.node) == past().digest(past().node));
}

TEST_CASE("what waited when the node ended is worked out at the next opening") {
    Newcomer there(112);
    for (const Run& run : past().runs) there.take({&run, 1});
    REQUIRE(there.waiting() == 1);
    store::CircleModel circles;
    store::EventLog again(there.node.db, there.node.random, {&circles});
    REQUIRE(again.prepare().has_value());
    CHECK(there.waiting() == 0);
    CHECK(store::state_digest(there.node.db, again, past().club).value() == past().digest(past().node));
}

TEST_CASE("who writes in the middle of a burst knows all that is stored") {
    Newcomer there(113);
    for (const Run& run : past().runs) there.take({&run, 1});
    REQUIRE(there.waiting() == 1);
    there.node.act_as(past().members[3]);
    const auto said =
        there.node.log.append({past().club, kind::note, codec::encode(std::string("hello")), {}}, there.node.now);
    REQUIRE(said.has_value());
    CHECK(there.waiting() == 0);
    Bytes named;
    Bytes heads;
    REQUIRE(there.node.db.query(
        "SELECT ctl FROM event WHERE id = ?1", [&](const store::sqlite::Row& row) { named = row.blob(0); },
        said.value()));
    REQUIRE(past().node.db.query(
        "SELECT ctl_heads FROM circle WHERE circle = ?1", [&](const store::sqlite::Row& row) { heads = row.blob(0); },
        past().club));
    CHECK(named == heads);
}

TEST_CASE("a burst with a bad run stores nothing, and nothing waits") {
    Newcomer there(114);
    std::vector<Run> runs(past().runs.begin(), past().runs.begin() + 3);
    for (RunEvent& e : runs.back().events) e.signature = {};
    CHECK(there.node.log.append_burst(past().club, runs).error().fault() == Fault::peer);
    CHECK(there.waiting() == 0);
    CHECK(there.node.count("SELECT count(*) FROM event") == 0);
    // Nothing that the failed step looked up is believed later.
    there.take(std::span(past().runs));
    REQUIRE(there.node.log.end_burst(past().club).has_value());
    CHECK(past().digest(there.node) == past().digest(past().node));
}

TEST_CASE("a burst that is broken off at any log leaves what its events say, once it is ended") {
    for (const std::size_t count : {std::size_t{1}, std::size_t{45}, people - 1}) {
        CAPTURE(count);
        Newcomer burst(115);
        Newcomer plain(116);
        const std::vector<Run> some(past().runs.begin(), past().runs.begin() + static_cast<std::ptrdiff_t>(count));
        burst.take(std::span(past().runs).first(count));
        REQUIRE(burst.node.log.end_burst(past().club).has_value());
        REQUIRE(plain.node.log.append_runs(past().club, some).has_value());
        for (const char* table : {"member", "device", "author", "control_event", "circle"}) {
            const std::string sql = std::string("SELECT count(*) FROM ") + table;
            CHECK(burst.node.count(sql) == plain.node.count(sql));
        }
    }
}
