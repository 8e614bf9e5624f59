// What a courier keeps, how much of it, and for how long.

#include "store/courier/courier_desk.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "store/upkeep/chain_check.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::LogWriter;
using test::Person;

namespace {

constexpr std::int64_t day_ms = 86'400'000;
constexpr WallTime start{1'800'000'000'000};

// Ada's path, and a courier that has no key to it.
struct World {
    test::SeededRandom random{21};
    Person ada = test::make_person("Ada", random);
    EventLogNode adas{22};
    EventLogNode keeper{23};
    CircleId circle = adas.found(ada, CircleKind::path, MemberRole::newcomer);
    store::CourierSelf self{make_dh_keys(random).pub, make_sign_keys(random).pub};
    store::DeskBook book{keeper.db, keeper.log};

    store::CourierCode code(std::uint64_t quota_bytes, std::uint32_t days = 30) {
        store::CourierCode out{random.draw<InviteId>(), to_bytes(random.draw<SignPublic>().view()), quota_bytes, days,
                               WallTime{start.ms + day_ms}};
        REQUIRE(store::add_courier_code(keeper.db, out).has_value());
        return out;
    }
    PlaceMessage place_words() { return {circle, random.draw<SignPublic>(), random.draw<SignPublic>()}; }
    // The circle has a place.
    void place(std::uint64_t quota_bytes = 1'000'000, std::uint32_t days = 30) {
        const auto id = code(quota_bytes, days).id;
        REQUIRE(store::take_place(keeper.db, self, id, place_words(), start).value().place.has_value());
    }
    void say(std::size_t bytes) {
        REQUIRE(adas.log.append({circle, kind::note, Bytes(bytes, 'x'), {}}, adas.now).has_value());
    }
    // Everything of Ada's that the courier takes, run by run, of one visit.
    std::vector<Appended> leave() {
        std::vector<Appended> out;
        const auto heads = adas.log.heads(circle);
        for (const LogHead& head : heads.value()) {
            std::uint64_t next = keeper.log.next_seq(circle, head.log).value();
            while (next < head.next_seq) {
                const Run run = adas.log.read_run(circle, head.log, next).value();
                out.push_back(book.log().append_run(circle, run).value());
                if (out.back() != Appended::stored) break;
                next += run.events.size();
            }
        }
        return out;
    }
    store::PlaceLine line() { return store::courier_places(keeper.db).value().at(0); }
};

// One log of Ada's device, written on twice behind its first event, in so many events with so many control heads each.
// Only the last event of a branch is signed, so that a proof holds them all.
struct ForkedWriters {
    explicit ForkedWriters(World& w, std::size_t events = 1, std::size_t heads = 0)
        : key(AeadKey::random(w.random)), left(begun(w)), right(left) {
        for (LogWriter* branch : {&left, &right}) {
            for (std::size_t i = 1; i <= events; ++i) {
                std::vector<EventId> ctl(heads);
                for (EventId& head : ctl) head = w.random.draw<EventId>();
                branch->write_note(key, "x", std::move(ctl));
                if (i < events) branch->spoil_signature(i);
            }
        }
    }
    LogWriter begun(World& w) const {
        LogWriter log(w.circle, w.ada.device, w.random);
        log.write_note(key, "both");
        return log;
    }
    AeadKey key;
    LogWriter left;
    LogWriter right;
};

}  // namespace

TEST_CASE("a code gives one place, once") {
    World w;
    const auto code = w.code(5'000, 40);
    CHECK(store::secret_of_code(w.keeper.db, code.id, start).value() == code.secret);
    const auto placed = store::take_place(w.keeper.db, w.self, code.id, w.place_words(), start).value();
    REQUIRE(placed.place.has_value());
    CHECK(*placed.place == PlacedMessage::Place{w.self.noise, w.self.signing, 5'000, 40});
    CHECK_FALSE(store::secret_of_code(w.keeper.db, code.id, start).value().has_value());
    const auto again = store::take_place(w.keeper.db, w.self, code.id, w.place_words(), start).value();
    CHECK_FALSE(again.place.has_value());
    CHECK(again.refusal == "This code is used up or over; ask the courier's keeper for a new one.");
}

TEST_CASE("a code that has run out gives nothing and is tidied away") {
    World w;
    const auto code = w.code(5'000);
    const WallTime late{start.ms + day_ms};
    CHECK_FALSE(store::secret_of_code(w.keeper.db, code.id, late).value().has_value());
    CHECK_FALSE(store::take_place(w.keeper.db, w.self, code.id, w.place_words(), late).value().place.has_value());
    REQUIRE(store::remove_outdated(w.keeper.db, late).has_value());
    CHECK(w.keeper.count("SELECT count(*) FROM courier_code") == 0);
}

TEST_CASE("a courier holds what it cannot read") {
    World w;
    w.place();
    w.say(100);
    w.leave();
    CHECK(w.keeper.log.heads(w.circle).value() == w.adas.log.heads(w.circle).value());
    CHECK(w.keeper.count("SELECT count(*) FROM unread") == 2);
    CHECK(w.keeper.count("SELECT count(*) FROM epoch_key") == 0);
    CHECK(w.keeper.count("SELECT count(*) FROM member") == 0);
}

TEST_CASE("a keeper sees sizes, counts and times") {
    World w;
    w.place(2'000'000, 77);
    w.say(1'000);
    w.leave();
    REQUIRE(w.book.note_visit(w.circle, WallTime{start.ms + 5}).has_value());
    const store::PlaceLine line = w.line();
    CHECK(line.circle == w.circle);
    CHECK(line.events == 2);
    CHECK(line.used_bytes > 1'000 + 2 * store::event_overhead_bytes);
    CHECK(line.used_bytes < 3'000);
    CHECK(line.quota_bytes == 2'000'000);
    CHECK(line.days == 77);
    CHECK(line.visited == WallTime{start.ms + 5});
}

TEST_CASE("a courier keeps nothing about its visitors") {
    World w;
    w.place();
    const auto visitor = w.random.draw<PeerTag>();
    REQUIRE(w.book.log().keep_cursor(w.circle, visitor, Cursor{1, 2}).has_value());
    CHECK_FALSE(w.book.log().cursor_for(w.circle, visitor).value().has_value());
    CHECK(w.keeper.count("SELECT count(*) FROM sync_cursor") == 0);
}

TEST_CASE("what is counted as used is what a count from the events gives") {
    World w;
    w.place();
    for (int i = 0; i < 5; ++i) w.say(200);
    w.leave();
    const std::uint64_t counted = w.line().used_bytes;
    w.leave();
    CHECK(w.line().used_bytes == counted);
    REQUIRE(store::count_places(w.keeper.db).has_value());
    CHECK(w.line().used_bytes == counted);
}

TEST_CASE("beyond its quota a place takes nothing more, says so once, and can be read") {
    World w;
    w.place(10'000);
    w.say(3'000);
    w.leave();
    w.say(9'000);
    CHECK(w.leave() == std::vector<Appended>{Appended::later});
    CHECK(w.leave() == std::vector<Appended>{Appended::later});
    const auto refusals = w.book.take_refusals();
    REQUIRE(refusals.size() == 1);
    CHECK(refusals[0].reason == FullReason::place);
    CHECK(w.line().events == 2);
    CHECK(w.book.log().heads(w.circle).value().size() == 1);
}

TEST_CASE("a place that is used up says so to the next visitor") {
    World w;
    w.place(2'000);
    w.say(500);
    w.leave();
    CHECK_FALSE(w.book.find_place(w.circle).value()->full);
    REQUIRE(w.keeper.db.run("UPDATE courier_place SET quota = used").has_value());
    CHECK(w.book.find_place(w.circle).value()->full);
}

TEST_CASE("one log grows by so much a day and goes on the day after") {
    World w;
    w.place(std::uint64_t{1} << 40);
    w.say(100);
    w.book.set_today(Day{20'000});
    w.leave();
    REQUIRE(
        w.keeper.db.run("UPDATE courier_growth SET bytes = ?1", limits::courier_log_day_bytes_max - 10).has_value());
    w.say(100);
    CHECK(w.leave() == std::vector<Appended>{Appended::later});
    CHECK(w.book.take_refusals().at(0).reason == FullReason::log);
    w.book.set_today(Day{20'001});
    CHECK(w.leave() == std::vector<Appended>{Appended::stored});
}

TEST_CASE("a place is kept as long as somebody comes, and removed whole when nobody does") {
    World w;
    w.place(1'000'000, 30);
    w.say(100);
    w.leave();
    REQUIRE(w.book
                .keep_copies(w.circle, {{w.random.draw<KeyId>(), {w.random.draw<WrapTag>(), Bytes(80), 0, {}}}},
                             WallTime{start.ms + 20 * day_ms})
                .has_value());
    REQUIRE(w.book.note_visit(w.circle, WallTime{start.ms + 20 * day_ms}).has_value());
    CHECK(store::remove_outdated(w.keeper.db, WallTime{start.ms + 50 * day_ms}).value().empty());
    CHECK(w.line().events == 2);
    CHECK(store::remove_outdated(w.keeper.db, WallTime{start.ms + 50 * day_ms + 1}).value() ==
          std::vector<CircleId>{w.circle});
    for (const std::string_view table : {"courier_place", "event", "unread", "missing_key", "courier_copy",
                                         "courier_former", "courier_growth", "fork_proof"}) {
        CHECK_MESSAGE(w.keeper.count("SELECT count(*) FROM " + std::string(table)) == 0, table);
    }
    CHECK(w.keeper.log.heads(w.circle).value().empty());
}

TEST_CASE("a place in which nobody left anything is removed too") {
    World w;
    w.place();
    REQUIRE(store::remove_place(w.keeper.db, w.circle).has_value());
    CHECK(w.keeper.count("SELECT count(*) FROM courier_place") == 0);
    CHECK(w.keeper.count("SELECT count(*) FROM log") == 0);
}

TEST_CASE("arrival numbers go on after a place is removed") {
    World w;
    w.place();
    for (int i = 0; i < 4; ++i) w.say(10);
    w.leave();
    const std::uint64_t before = w.keeper.log.arrivals().value();
    REQUIRE(before == 5);
    REQUIRE(store::remove_place(w.keeper.db, w.circle).has_value());
    CHECK(w.keeper.log.arrivals().value() == before);
    w.place();
    w.leave();
    CHECK(w.keeper.log.arrivals().value() == before + 5);
    REQUIRE(store::remove_place(w.keeper.db, w.circle).has_value());
    CHECK(w.keeper.log.arrivals().value() == before + 5);
}

TEST_CASE("a courier's store passes its check before and after a place is removed") {
    World w;
    w.place();
    w.say(10);
    w.leave();
    for (int round = 0; round < 2; ++round) {
        store::ChainCheck check(w.keeper.db);
        while (check.step(64).value()) {
        }
        CHECK(check.report().is_sound());
        CHECK(check.report().logs == 1);
        REQUIRE(store::remove_place(w.keeper.db, w.circle).has_value());
    }
}

TEST_CASE("a renewal makes the key of now a former one, and few of those are known") {
    World w;
    w.place();
    const SignPublic first = w.book.find_place(w.circle).value()->access;
    SignPublic last;
    for (std::size_t i = 0; i < limits::courier_former_max + 4; ++i) {
        last = w.random.draw<SignPublic>();
        REQUIRE(w.book.renew(w.circle, last).has_value());
        if (i == 0) CHECK(w.book.find_place(w.circle).value()->former == std::vector<SignPublic>{first});
    }
    const CourierPlace place = *w.book.find_place(w.circle).value();
    CHECK(place.access == last);
    CHECK(place.former.size() == limits::courier_former_max);
    CHECK(std::find(place.former.begin(), place.former.end(), first) == place.former.end());
}

TEST_CASE("a former key that comes back is no former key any more") {
    World w;
    w.place();
    const SignPublic first = w.book.find_place(w.circle).value()->access;
    REQUIRE(w.book.renew(w.circle, w.random.draw<SignPublic>()).has_value());
    REQUIRE(w.book.renew(w.circle, first).has_value());
    const CourierPlace place = *w.book.find_place(w.circle).value();
    CHECK(place.access == first);
    CHECK(std::find(place.former.begin(), place.former.end(), first) == place.former.end());
}

TEST_CASE("copies are given for their tag, and nobody takes the place of one") {
    World w;
    w.place();
    const auto key = w.random.draw<KeyId>();
    const Wrap wrap{w.random.draw<WrapTag>(), Bytes(80, 1), 0, {}};
    Wrap other = wrap;
    other.box = Bytes(80, 2);
    REQUIRE(w.book.keep_copies(w.circle, {{key, wrap}}, start).has_value());
    REQUIRE(w.book.keep_copies(w.circle, {{key, other}}, start).has_value());
    CHECK(w.book.kept_copy(w.circle, key, wrap.tag).value() == wrap);
    CHECK_FALSE(w.book.kept_copy(w.circle, key, w.random.draw<WrapTag>()).value().has_value());
    CHECK(w.book.kept_keys(w.circle).value() == std::vector<KeyId>{key});
}

TEST_CASE("copies that replace others are the ones given, and no other tag's copy goes") {
    World w;
    w.place();
    const auto key = w.random.draw<KeyId>();
    const Wrap wrap{w.random.draw<WrapTag>(), Bytes(80, 1), 0, {}};
    const Wrap beside{w.random.draw<WrapTag>(), Bytes(80, 1), 0, {}};
    Wrap other = wrap;
    other.box = Bytes(80, 2);
    REQUIRE(w.book.keep_copies(w.circle, {{key, wrap}, {key, beside}}, start).has_value());
    REQUIRE(w.book.replace_copies(w.circle, {{key, other}}, start).has_value());
    CHECK(w.book.kept_copy(w.circle, key, wrap.tag).value() == other);
    CHECK(w.book.kept_copy(w.circle, key, beside.tag).value() == beside);
}

TEST_CASE("copies beyond the bound push out the oldest") {
    World w;
    w.place();
    const auto key = w.random.draw<KeyId>();
    const Wrap oldest{w.random.draw<WrapTag>(), Bytes(80), 0, std::vector<WrapRoot>(limits::wrap_proof_max)};
    REQUIRE(w.book.keep_copies(w.circle, {{key, oldest}}, start).has_value());
    const std::size_t one = codec::encode(oldest).size();
    for (std::size_t bytes = 0; bytes < limits::courier_wraps_bytes_max; bytes += 200 * one) {
        std::vector<WrapAnswerMessage::Copy> some(200, {key, oldest});
        for (auto& copy : some) copy.wrap.tag = w.random.draw<WrapTag>();
        REQUIRE(w.book.keep_copies(w.circle, some, WallTime{start.ms + 1}).has_value());
    }
    const std::int64_t kept = w.keeper.count("SELECT sum(length(copy)) FROM courier_copy");
    CHECK(kept <= static_cast<std::int64_t>(limits::courier_wraps_bytes_max));
    CHECK(kept > static_cast<std::int64_t>(limits::courier_wraps_bytes_max) - 2 * static_cast<std::int64_t>(one));
    CHECK_FALSE(w.book.kept_copy(w.circle, key, oldest.tag).value().has_value());
}

TEST_CASE("copies older than the place's days go, newer ones stay") {
    World w;
    w.place(1'000'000, 10);
    const auto old_key = w.random.draw<KeyId>();
    const auto new_key = w.random.draw<KeyId>();
    const Wrap wrap{w.random.draw<WrapTag>(), Bytes(80), 0, {}};
    REQUIRE(w.book.keep_copies(w.circle, {{old_key, wrap}}, start).has_value());
    REQUIRE(w.book.keep_copies(w.circle, {{new_key, wrap}}, WallTime{start.ms + 5 * day_ms}).has_value());
    REQUIRE(w.book.note_visit(w.circle, WallTime{start.ms + 11 * day_ms}).has_value());
    REQUIRE(store::remove_outdated(w.keeper.db, WallTime{start.ms + 11 * day_ms}).has_value());
    CHECK(w.book.kept_keys(w.circle).value() == std::vector<KeyId>{new_key});
}

TEST_CASE("a fork proof counts against the quota too") {
    World w;
    w.place(300);
    const ForkProof proof;
    CHECK_FALSE(w.book.log().append_fork_proof(w.circle, proof).value());
    CHECK(w.book.take_refusals().at(0).reason == FullReason::place);
    CHECK(w.keeper.count("SELECT count(*) FROM fork_proof") == 0);
}

TEST_CASE("a fork proof that a run makes counts like one that came as a message, and once") {
    World w;
    w.place();
    ForkedWriters logs(w);
    REQUIRE(w.book.log().append_run(w.circle, logs.left.run()).value() == Appended::stored);
    const auto before = w.line().used_bytes;
    for (const Appended expected : {Appended::forked, Appended::known}) {
        CHECK(w.book.log().append_run(w.circle, logs.right.run()).value() == expected);
        const auto proof = static_cast<std::uint64_t>(w.keeper.count("SELECT length(proof) FROM fork_proof"));
        CHECK(w.line().used_bytes == before + proof + store::event_overhead_bytes);
    }
    const auto counted = w.line().used_bytes;
    REQUIRE(store::count_places(w.keeper.db).has_value());
    CHECK(w.line().used_bytes == counted);
}

TEST_CASE("several runs of one log that fork it in one step count its proof once") {
    World w;
    w.place();
    ForkedWriters logs(w);
    REQUIRE(w.book.log().append_run(w.circle, logs.left.run()).value() == Appended::stored);
    REQUIRE(w.book.log().append_runs(w.circle, {logs.right.run(), logs.right.run()}).has_value());
    const auto counted = w.line().used_bytes;
    REQUIRE(store::count_places(w.keeper.db).has_value());
    CHECK(w.line().used_bytes == counted);
}

TEST_CASE("a full place takes no run that could fork a log") {
    World w;
    w.place();
    ForkedWriters logs(w);
    REQUIRE(w.book.log().append_run(w.circle, logs.left.run()).value() == Appended::stored);
    REQUIRE(w.keeper.db.run("UPDATE courier_place SET quota = used + ?1", store::event_overhead_bytes).has_value());
    CHECK(w.book.log().append_run(w.circle, logs.right.run()).value() == Appended::later);
    CHECK(w.book.take_refusals().at(0).reason == FullReason::place);
    CHECK(w.keeper.count("SELECT count(*) FROM fork_proof") == 0);
}

TEST_CASE("not even the largest proof goes beyond the quota") {
    std::uint64_t proof = 0;
    for (const bool has_room : {true, false}) {
        World w;
        w.place();
        ForkedWriters logs(w, limits::fork_links_max, limits::control_heads_max);
        REQUIRE(w.book.log().append_run(w.circle, logs.left.run()).value() == Appended::stored);
        const auto before = w.line().used_bytes;
        if (!has_room) REQUIRE(w.keeper.db.run("UPDATE courier_place SET quota = used + ?1", proof - 1).has_value());
        const auto outcome = w.book.log().append_run(w.circle, logs.right.run()).value();
        CHECK(outcome == (has_room ? Appended::forked : Appended::later));
        proof = w.line().used_bytes - before;
        CHECK(has_room == (proof > 160'000));
    }
}

TEST_CASE("a code takes over no place from a circle whose expected key was not proven, and stays good") {
    World w;
    w.place();
    const SignPublic former = w.book.find_place(w.circle).value()->access;
    REQUIRE(w.book.renew(w.circle, w.random.draw<SignPublic>()).has_value());
    const SignPublic registrar = w.book.find_place(w.circle).value()->registrar;
    const auto code = w.code(777, 5);
    const SignPublic expected = w.book.find_place(w.circle).value()->access;
    const store::ProvenAccess others{{w.circle, former}, {w.random.draw<CircleId>(), expected}};
    const auto placed = store::take_place(w.keeper.db, w.self, code.id, w.place_words(), start, others).value();
    CHECK_FALSE(placed.place.has_value());
    CHECK(placed.refusal.starts_with("This circle has a place here already"));
    CHECK(placed.refusal.size() <= limits::line_bytes_max);
    CHECK(w.book.find_place(w.circle).value()->registrar == registrar);
    CHECK(store::secret_of_code(w.keeper.db, code.id, start).value().has_value());
}

TEST_CASE("a new code for a circle that has a place brings who proves its key, and keeps what is there") {
    World w;
    w.place();
    w.say(10);
    w.leave();
    const SignPublic before = w.book.find_place(w.circle).value()->access;
    const PlaceMessage words = w.place_words();
    const store::ProvenAccess proven{{w.circle, before}};
    REQUIRE(store::take_place(w.keeper.db, w.self, w.code(777, 5).id, words, start, proven).value().place.has_value());
    const CourierPlace place = *w.book.find_place(w.circle).value();
    CHECK(place.registrar == words.registrar);
    CHECK(place.access == words.access);
    CHECK(place.former == std::vector<SignPublic>{before});
    CHECK(w.line().quota_bytes == 777);
    CHECK(w.line().events == 2);
}

TEST_CASE("one circle's end leaves another's place alone") {
    World w;
    w.place();
    w.say(10);
    w.leave();
    EventLogNode bens{24};
    const Person ben = test::make_person("Ben", w.random);
    const CircleId other = bens.found(ben, CircleKind::path, MemberRole::newcomer);
    const auto id = w.code(1'000'000).id;
    PlaceMessage words = w.place_words();
    words.circle = other;
    REQUIRE(store::take_place(w.keeper.db, w.self, id, words, start).value().place.has_value());
    REQUIRE(store::remove_place(w.keeper.db, other).has_value());
    CHECK(w.line().circle == w.circle);
    CHECK(w.line().events == 2);
}
