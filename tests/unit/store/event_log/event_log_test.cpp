#include "store/event_log/event_log.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "store/settings/settings.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::LogWriter;
using test::Person;

namespace {

// Notes as they were taken in, in a table of its own.
class NoteModel : public store::ReadModel {
public:
    std::string name() const override { return "note"; }
    std::int64_t version() const override { return version_now; }
    std::vector<std::string> tables() const override { return {"note"}; }
    Result<void> reset(store::sqlite::Database& db) override {
        ++resets;
        return db.execute(
            "DROP TABLE IF EXISTS note; CREATE TABLE note (id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, "
            "seq INTEGER NOT NULL, text TEXT NOT NULL) STRICT, WITHOUT ROWID");
    }
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override {
        if (event.body.kind != kind::note) return ok();
        if (fail_in > 0 && --fail_in == 0) return Error{Fault::disk, "The disk is full."};
        return db.run("INSERT INTO note (id, log_ref, seq, text) VALUES (?1, ?2, ?3, ?4)", event.id, event.log_ref,
                      event.seq, as_text(event.body.payload));
    }

    std::int64_t version_now = 1;
    int resets = 0;
    int fail_in = 0;  // the how manieth note from now on fails; 0: none
};

struct World {
    test::SeededRandom random{71};
    Person ada = test::make_person("Ada", random);
    Person ben = test::make_person("Ben", random);
    NoteModel notes;
    EventLogNode node{72, {&notes}};
    CircleId circle = node.found(ada, CircleKind::club, MemberRole::officer);

    store::NewEvent note(std::string_view text) { return {circle, kind::note, to_bytes(as_bytes(text)), {}}; }
    EventId write(std::string_view text) { return node.log.append(note(text), node.now).value(); }
    std::string texts() {
        std::string out;
        REQUIRE(node.db
                    .query("SELECT text FROM note ORDER BY log_ref, seq",
                           [&](const store::sqlite::Row& row) { out += row.text(0) + ";"; })
                    .has_value());
        return out;
    }
    AeadKey key() { return node.log.current_key(circle).value(); }
};

Body body_at(EventLogNode& node, const CircleId& circle, const AeadKey& key, std::uint64_t seq) {
    const LogHead head = node.log.heads(circle).value().at(0);
    const Run run = node.log.read_run(circle, head.log, 0).value();
    const auto checked = check_run(circle, *run.opening, {}, run).value();
    return open_body(checked.at(seq).event.header, checked.at(seq).event.sealed, key).value();
}

}  // namespace

TEST_CASE("founding a circle stores its first event under the circle's own name") {
    World w;
    const auto heads = w.node.log.heads(w.circle).value();
    REQUIRE(heads.size() == 1);
    CHECK(heads[0].next_seq == 1);
    CHECK(heads[0].head.data == w.circle.data);
    CHECK(w.node.log.current_key(w.circle).has_value());
    CHECK(w.node.log.current_key(CircleId{}).error().fault() == Fault::not_found);
}

TEST_CASE("own events continue one log, each on the one before, naming the control heads") {
    World w;
    const EventId first = w.write("one");
    const EventId second = w.write("two");
    const auto heads = w.node.log.heads(w.circle).value();
    REQUIRE(heads.size() == 1);
    CHECK(heads[0].next_seq == 3);
    CHECK(heads[0].head == second);
    const Run run = w.node.log.read_run(w.circle, heads[0].log, 0).value();
    const auto checked = check_run(w.circle, *run.opening, {}, run).value();
    REQUIRE(checked.size() == 3);
    CHECK(checked[1].id == first);
    CHECK(checked[2].id == second);
    CHECK(checked[1].event.header.ctl == std::vector{EventId{w.circle.data}});
    CHECK(w.node.log.event_id(w.circle, heads[0].log, 1).value() == first);
    CHECK_FALSE(w.node.log.event_id(w.circle, heads[0].log, 3).value().has_value());
    CHECK_FALSE(w.node.log.event_id(w.circle, LogId{}, 0).value().has_value());
}

TEST_CASE("an event can be read back from any place of its log") {
    World w;
    for (int i = 0; i < 6; ++i) w.write("note");
    const LogHead head = w.node.log.heads(w.circle).value().at(0);
    for (std::uint64_t first = 0; first < head.next_seq; ++first) {
        CHECK(w.node.log.read_run(w.circle, head.log, first).value().events.size() == head.next_seq - first);
    }
    CHECK(w.node.log.read_run(w.circle, head.log, head.next_seq).error().fault() == Fault::not_found);
    CHECK(w.node.log.read_run(w.circle, LogId{}, 0).error().fault() == Fault::not_found);
    CHECK(w.node.log.read_run(CircleId{}, head.log, 0).error().fault() == Fault::not_found);
}

TEST_CASE("several events are stored as one step, or none of them") {
    World w;
    CHECK(w.node.log.append({w.note("a"), w.note("b"), w.note("c")}, w.node.now).value().size() == 3);
    CHECK(w.texts() == "a;b;c;");
    w.notes.fail_in = 3;
    CHECK(w.node.log.append({w.note("d"), w.note("e"), w.note("f")}, w.node.now).error().fault() == Fault::disk);
    CHECK(w.texts() == "a;b;c;");
    CHECK(w.node.log.heads(w.circle).value().at(0).next_seq == 4);
    w.write("g");
    CHECK(w.texts() == "a;b;c;g;");
    CHECK(w.node.log.heads(w.circle).value().at(0).next_seq == 5);
}

TEST_CASE("within a caller's transaction nothing is stored until the caller commits") {
    World w;
    {
        auto tx = store::sqlite::Transaction::begin(w.node.db);
        REQUIRE(tx.has_value());
        REQUIRE(w.node.log.append_within(w.note("a"), w.node.now).has_value());
        tx.value().roll_back();
    }
    CHECK(w.texts() == "");
    CHECK(w.node.log.heads(w.circle).value().at(0).next_seq == 1);
    CHECK_FALSE(w.node.db.in_transaction());
}

TEST_CASE("a circle without a key takes no own events") {
    World w;
    const store::NewEvent event{w.random.draw<CircleId>(), kind::note, {}, {}};
    CHECK(w.node.log.append(event, w.node.now).error().fault() == Fault::not_found);
    CHECK(w.node.count("SELECT count(*) FROM log") == 1);
}

TEST_CASE("a run from a peer is stored once, and known the second time") {
    World w;
    w.write("hello");
    NoteModel notes;
    EventLogNode other(73, {&notes});
    const LogHead head = w.node.log.heads(w.circle).value().at(0);
    const Run run = w.node.log.read_run(w.circle, head.log, 0).value();
    CHECK(other.log.append_run(w.circle, run).value() == Appended::stored);
    CHECK(other.log.append_run(w.circle, run).value() == Appended::known);
    CHECK(other.log.heads(w.circle).value() == w.node.log.heads(w.circle).value());
    CHECK(encode_run(other.log.read_run(w.circle, head.log, 0).value()) == encode_run(run));
}

TEST_CASE("a run that overlaps adds what is new; one that begins too late is a gap") {
    World w;
    const AeadKey key = w.key();
    LogWriter log(w.circle, w.ben.device, w.random);
    for (int i = 0; i < 6; ++i) log.write_note(key, std::to_string(i), {EventId{w.circle.data}});
    CHECK(w.node.log.append_run(w.circle, log.run(2, 2)).value() == Appended::gap);
    CHECK(w.node.log.append_run(w.circle, log.run(0, 2)).value() == Appended::stored);
    CHECK(w.node.log.append_run(w.circle, log.run(3, 1)).value() == Appended::gap);
    CHECK(w.node.log.append_run(w.circle, log.run(1, 3)).value() == Appended::stored);
    CHECK(w.node.log.append_run(w.circle, log.run(1, 2)).value() == Appended::known);
    CHECK(w.node.log.append_run(w.circle, log.run(0, 6)).value() == Appended::stored);
    CHECK(w.node.log.next_seq(w.circle, log.log()).value() == 6);
    CHECK(w.texts() == "0;1;2;3;4;5;");
}

TEST_CASE("another event at a place that is taken is a fork, and what follows it is of no interest") {
    World w;
    const AeadKey key = w.key();
    LogWriter left(w.circle, w.ben.device, w.random);
    left.write_note(key, "0");
    LogWriter right = left;
    left.write_note(key, "left");
    right.write_note(key, "right");
    right.write_note(key, "right on");
    REQUIRE(w.node.log.append_run(w.circle, left.run()).value() == Appended::stored);
    CHECK(w.node.log.append_run(w.circle, right.run()).value() == Appended::forked);
    CHECK(w.node.log.append_run(w.circle, right.run(1, 2)).value() == Appended::known);
    CHECK(w.texts() == "0;left;");
}

TEST_CASE("a run that breaks the chain rule leaves nothing behind") {
    World w;
    const AeadKey key = w.key();
    LogWriter log(w.circle, w.ben.device, w.random);
    log.write_note(key, "0");
    log.write_note(key, "1");
    Run run = log.run();
    run.events[1].sealed[0] ^= 1;
    run.events[0].signature.data[0] ^= 1;
    CHECK(w.node.log.append_run(w.circle, run).error().fault() == Fault::peer);
    CHECK(w.node.log.next_seq(w.circle, log.log()).value() == 0);
    CHECK(w.node.count("SELECT count(*) FROM log") == 1);
    run = log.run();
    run.opening->salt.data[0] ^= 1;
    CHECK(w.node.log.append_run(w.circle, run).error().fault() == Fault::peer);
    REQUIRE(w.node.log.append_run(w.circle, log.run()).value() == Appended::stored);
    run = log.run();
    run.opening->salt.data[0] ^= 1;
    CHECK(w.node.log.append_run(w.circle, run).error().sentence() == "A log was opened twice in different ways.");
}

TEST_CASE("badly signed events are stored and passed on up to a good signature") {
    World w;
    const AeadKey key = w.key();
    LogWriter log(w.circle, w.ben.device, w.random);
    for (int i = 0; i < 12; ++i) log.write_note(key, std::string(60'000, 'x'));
    for (const std::size_t seq : {0, 1, 2, 3, 4, 5, 6, 8, 11}) log.spoil_signature(seq);
    REQUIRE(w.node.log.append_run(w.circle, log.run()).value() == Appended::stored);
    CHECK(w.node.log.next_seq(w.circle, log.log()).value() == 11);  // the tail after the last good one is left out
    EventLogNode other(74);
    carry(w.node, other, w.circle);
    CHECK(other.log.heads(w.circle).value() == w.node.log.heads(w.circle).value());
}

TEST_CASE("a model that fails takes the whole run back") {
    World w;
    const AeadKey key = w.key();
    LogWriter log(w.circle, w.ben.device, w.random);
    for (int i = 0; i < 3; ++i) log.write_note(key, std::to_string(i));
    w.notes.fail_in = 2;
    CHECK(w.node.log.append_run(w.circle, log.run()).error().fault() == Fault::disk);
    CHECK(w.node.log.next_seq(w.circle, log.log()).value() == 0);
    CHECK(w.texts() == "");
    CHECK(w.node.count("SELECT count(*) FROM event") == 1);
    CHECK(w.node.log.append_run(w.circle, log.run()).value() == Appended::stored);
    CHECK(w.texts() == "0;1;2;");
}

TEST_CASE("events that came before their key are taken in when it comes") {
    World w;
    w.write("one");
    w.write("two");
    const Person cal = test::make_person("Cal", w.random);
    NoteModel notes;
    EventLogNode other(75, {&notes});
    carry(w.node, other, w.circle);
    CHECK(other.count("SELECT count(*) FROM note") == 0);
    CHECK(other.count("SELECT count(*) FROM unread") == 3);
    CHECK(other.count("SELECT count(*) FROM circle") == 0);
    REQUIRE(other.log.add_key(w.circle, AeadKey::random(w.random)).has_value());  // some other key
    CHECK(other.count("SELECT count(*) FROM unread") == 3);
    REQUIRE(other.log.add_key(w.circle, w.key()).has_value());
    CHECK(other.count("SELECT count(*) FROM unread") == 0);
    CHECK(other.count("SELECT count(*) FROM note") == 2);
    CHECK(store::CircleModel::state_of(other.db, w.circle).value().founder == w.ada.id());
    CHECK(other.count("SELECT count(*) FROM author WHERE seq_max > 2") == 1);
    REQUIRE(other.log.add_key(w.circle, w.key()).has_value());
    CHECK(other.count("SELECT count(*) FROM note") == 2);
}

TEST_CASE("a body that does not open under the key it names is kept, without effect") {
    World w;
    const AeadKey key = w.key();
    LogWriter log(w.circle, w.ben.device, w.random);
    log.write_note(key, "good");
    Event bad =
        make_event({w.circle, log.log(), 1, log.tip_before(1).head, {}}, Body{}, key, w.ben.device.secret, w.random);
    bad.sealed[3] ^= 1;
    bad.header.body_hash = hash_of_body(bad.sealed);
    bad.signature = sign(id_of(bad.header).view(), w.ben.device.secret);
    Run run = log.run();
    run.events.push_back({bad.signature, bad.header.salt, std::nullopt, std::nullopt, bad.sealed});
    REQUIRE(w.node.log.append_run(w.circle, run).value() == Appended::stored);
    CHECK(w.node.log.next_seq(w.circle, log.log()).value() == 2);
    CHECK(w.texts() == "good;");
    CHECK(w.node.count("SELECT count(*) FROM unread") == 0);
}

TEST_CASE("models are built anew when their version changes, from what is stored") {
    World w;
    w.write("one");
    LogWriter log(w.circle, w.ben.device, w.random);
    log.write_note(w.key(), "two");
    REQUIRE(w.node.log.append_run(w.circle, log.run()).has_value());
    CHECK(w.notes.resets == 1);
    REQUIRE(w.node.log.prepare().has_value());
    CHECK(w.notes.resets == 1);
    REQUIRE(w.node.db.execute("DELETE FROM note").has_value());
    w.notes.version_now = 2;
    REQUIRE(w.node.log.prepare().has_value());
    CHECK(w.notes.resets == 2);
    CHECK(w.texts() == "one;two;");
    CHECK(w.node.count("SELECT version FROM read_model WHERE name = 'note'") == 2);
}

TEST_CASE("own clock readings never go back below what was seen, unless that is far ahead") {
    World w;
    const AeadKey key = w.key();
    w.write("a");
    w.node.now.ms -= 1000;
    w.write("b");
    CHECK(body_at(w.node, w.circle, key, 2).time > body_at(w.node, w.circle, key, 1).time);
    CHECK(body_at(w.node, w.circle, key, 2).time.wall == body_at(w.node, w.circle, key, 1).time.wall);

    LogWriter log(w.circle, w.ben.device, w.random);
    const WallTime ahead{w.node.now.ms + 60'000};
    log.write(key, {{ahead, UINT32_MAX}, kind::note, {}, {}});
    REQUIRE(w.node.log.append_run(w.circle, log.run()).has_value());
    const EventId after = w.write("c");
    const std::uint64_t seq = 3;
    const auto heads = w.node.log.heads(w.circle).value();
    for (const LogHead& head : heads) {
        if (head.head != after) continue;
        const Run run = w.node.log.read_run(w.circle, head.log, 0).value();
        const auto checked = check_run(w.circle, *run.opening, {}, run).value();
        const auto body = open_body(checked.at(seq).event.header, checked.at(seq).event.sealed, key).value();
        CHECK(body.time > HybridTime{ahead, UINT32_MAX});
        CHECK(body.time.wall.ms == ahead.ms + 1);
    }
}

TEST_CASE("a clock that is years ahead is not followed") {
    World w;
    const AeadKey key = w.key();
    LogWriter log(w.circle, w.ben.device, w.random);
    log.write(key, {{{INT64_MAX}, 7}, kind::note, {}, {}});
    REQUIRE(w.node.log.append_run(w.circle, log.run()).has_value());
    w.node.now.ms += 5000;
    w.write("now");
    const auto value = store::get_setting(w.node.db, "hybrid_time").value().value();
    CHECK(codec::decode<HybridTime>(value).value() == HybridTime{w.node.now, 0});
}

TEST_CASE("a clock that was put right is believed again, however far ahead it once ran") {
    World w;
    const WallTime right = w.node.now;
    w.node.now.ms += 10LL * 365 * 86'400 * 1000;
    w.write("ahead");
    w.node.now = {right.ms + 1000};
    w.write("right");
    const auto value = store::get_setting(w.node.db, "hybrid_time").value().value();
    CHECK(codec::decode<HybridTime>(value).value() == HybridTime{w.node.now, 0});
}

TEST_CASE("after its tail came back from a peer, an own log goes on from there") {
    World w;
    w.write("one");
    NoteModel notes;
    EventLogNode backup(76, {&notes});
    carry(w.node, backup, w.circle);
    w.write("two");
    // The older copy becomes this node's store again.
    const LogHead old_head = backup.log.heads(w.circle).value().at(0);
    REQUIRE(backup.log.add_key(w.circle, w.key()).has_value());
    REQUIRE(backup.db.execute("UPDATE log SET mine = 1").has_value());
    backup.act_as(w.ada);
    carry(w.node, backup, w.circle);
    REQUIRE(backup.log.append({w.circle, kind::note, to_bytes(as_bytes("three")), {}}, w.node.now).has_value());
    const auto heads = backup.log.heads(w.circle).value();
    REQUIRE(heads.size() == 1);
    CHECK(heads[0].next_seq == old_head.next_seq + 2);
    carry(backup, w.node, w.circle);
    CHECK(w.texts() == "one;two;three;");
}

TEST_CASE("a device whose log came from a peer alone begins a new one") {
    World w;
    w.write("one");
    EventLogNode fresh(77);
    carry(w.node, fresh, w.circle);
    REQUIRE(fresh.log.add_key(w.circle, w.key()).has_value());
    fresh.act_as(w.ada);
    REQUIRE(fresh.log.append({w.circle, kind::note, {}, {}}, w.node.now).has_value());
    CHECK(fresh.log.heads(w.circle).value().size() == 2);
    CHECK(fresh.count("SELECT count(*) FROM author") == 2);
}
