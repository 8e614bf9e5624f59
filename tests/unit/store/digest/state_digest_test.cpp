#include "store/digest/state_digest.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::Person;

namespace {

// Notes, in a table that hangs on the log's row alone.
class NoteModel : public store::ReadModel {
public:
    std::string name() const override { return "note"; }
    std::int64_t version() const override { return 1; }
    std::vector<std::string> tables() const override { return {"note"}; }
    Result<void> reset(store::sqlite::Database& db) override {
        return db.execute(
            "DROP TABLE IF EXISTS note; CREATE TABLE note (id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, "
            "seq INTEGER NOT NULL, text TEXT NOT NULL, mark TEXT) STRICT, WITHOUT ROWID");
    }
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override {
        if (event.body.kind != kind::note) return ok();
        return db.run("INSERT INTO note (id, log_ref, seq, text) VALUES (?1, ?2, ?3, ?4)", event.id, event.log_ref,
                      event.seq, as_text(event.body.payload));
    }
};

// Ada's club with Ben in it, on two nodes; `there` got everything in another order and has other row numbers.
struct World {
    test::SeededRandom random{61};
    Person ada = test::make_person("Ada", random);
    Person ben = test::make_person("Ben", random);
    NoteModel notes_here;
    NoteModel notes_there;
    EventLogNode here{62, {&notes_here}};
    EventLogNode there{63, {&notes_there}};
    CircleId other = there.found(ben, CircleKind::club, MemberRole::officer);
    CircleId circle = here.found(ada, CircleKind::club, MemberRole::officer);

    World() {
        REQUIRE(there.log.add_key(circle, here.log.current_key(circle).value()).has_value());
        say(here, kind::admit,
            codec::encode(AdmitBody{ben.id(), MemberRole::mentor, 2, "Ben", false, {ben.certificate()}}));
        carry(here, there, circle);
        there.act_as(ben);
        say(there, kind::note, Bytes{'b'});
        say(here, kind::note, Bytes{'a'});
        carry(here, there, circle);
        carry(there, here, circle);
    }
    void say(EventLogNode& at, std::uint16_t number, Bytes payload) {
        REQUIRE(at.log.append({circle, number, std::move(payload), {}}, at.now).has_value());
    }
    std::string digest(EventLogNode& at) {
        const auto digest = store::state_digest(at.db, at.log, circle);
        return digest ? to_hex(digest.value().view()) : digest.error().sentence();
    }
};

}  // namespace

TEST_CASE("two nodes with the same events have the same state digest, whatever came first") {
    World w;
    CHECK(w.digest(w.here) == w.digest(w.there));
    CHECK(w.digest(w.here).size() == 64);
}

TEST_CASE("one event more is another state digest, until the other has it too") {
    World w;
    const std::string before = w.digest(w.here);
    w.say(w.here, kind::note, Bytes{'c'});
    CHECK(w.digest(w.here) != before);
    CHECK(w.digest(w.there) == before);
    carry(w.here, w.there, w.circle);
    CHECK(w.digest(w.there) == w.digest(w.here));
}

TEST_CASE("any value of any row of a read model changes the state digest") {
    World w;
    for (const char* sql :
         {"UPDATE note SET text = 'x' WHERE text = 'a'", "UPDATE note SET mark = ''", "UPDATE note SET seq = seq + 1",
          "DELETE FROM note WHERE text = 'b'", "UPDATE member SET level = 1 WHERE name = 'Ben'",
          "UPDATE author SET seq_max = 0", "UPDATE control_event SET genuine = 0 WHERE kind = 2",
          "UPDATE device SET label = 'x'", "UPDATE log SET next_seq = 9 WHERE circle = (SELECT circle FROM member)"}) {
        CAPTURE(sql);
        const std::string before = w.digest(w.here);
        REQUIRE(w.here.db.execute("SAVEPOINT change").has_value());
        REQUIRE(w.here.db.execute(sql).has_value());
        CHECK(w.digest(w.here) != before);
        REQUIRE(w.here.db.execute("ROLLBACK TO change; RELEASE change").has_value());
        REQUIRE(w.digest(w.here) == before);
    }
}

TEST_CASE("another circle's events are not in the state digest") {
    World w;
    const std::string before = w.digest(w.there);
    REQUIRE(w.there.log.append({w.other, kind::note, Bytes{'z'}, {}}, w.there.now).has_value());
    CHECK(w.digest(w.there) == before);
}

TEST_CASE("a circle that is not known here has no state digest") {
    World w;
    CHECK(store::state_digest(w.here.db, w.here.log, w.other).error().fault() == Fault::not_found);
}

TEST_CASE("two nodes that hold different branches of a forked log have the same state digest") {
    World w;
    const AeadKey key = w.here.log.current_key(w.circle).value();
    test::LogWriter one{w.circle, w.ada.device, w.random};
    const std::vector<EventId> ctl{EventId{w.circle.data}};
    one.write_note(key, "before the fork", ctl);
    test::LogWriter other = one;
    one.write_note(key, "one", ctl);
    const Person eve = test::make_person("Eve", w.random);
    const AdmitBody admit{eve.id(), MemberRole::mentor, 2, "Eve", false, {eve.certificate()}};
    other.write(key, {{w.here.now, 0}, kind::admit, {}, codec::encode(admit)}, ctl);
    REQUIRE(w.here.log.append_run(w.circle, one.run()).value() == Appended::stored);
    REQUIRE(w.there.log.append_run(w.circle, other.run()).value() == Appended::stored);
    CHECK(w.digest(w.here) != w.digest(w.there));
    REQUIRE(w.here.log.append_run(w.circle, other.run()).value() == Appended::forked);
    const auto proof = w.here.log.fork_proof(w.circle, one.log()).value();
    REQUIRE(proof.has_value());
    REQUIRE(w.there.log.append_fork_proof(w.circle, *proof).value());
    CHECK(w.digest(w.here) == w.digest(w.there));
}

TEST_CASE("a rebuilt read model has the state digest that it had") {
    World w;
    const std::string before = w.digest(w.here);
    REQUIRE(w.here.db.execute("UPDATE read_model SET version = 0").has_value());
    REQUIRE(w.here.log.prepare().has_value());
    CHECK(w.digest(w.here) == before);
}
