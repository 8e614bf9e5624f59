#include "protocol/event/chain.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::LogWriter;

namespace {

struct World {
    test::SeededRandom random{31};
    SignKeys device = make_sign_keys(random);
    AeadKey key = AeadKey::random(random);
    AeadKey next_key = AeadKey::random(random);
    LogWriter log{device, random};
    World() {
        const EventId founding = log.write_note(key, "first");
        log.write_note(key, "second", {founding});
        log.write_note(next_key, "third", {founding});
        log.write_note(next_key, "fourth", {founding, random.draw<EventId>()});
        log.write_note(key, "fifth", {});
    }

    Result<std::vector<CheckedEvent>> check(const Run& run) {
        return check_run(log.circle(), log.opening(), log.tip_before(run.first_seq), run);
    }
};

std::vector<EventId> ids_of(const std::vector<CheckedEvent>& events) {
    std::vector<EventId> ids;
    for (const CheckedEvent& e : events) ids.push_back(e.id);
    return ids;
}

std::vector<EventId> ids_of(const LogWriter& log) {
    std::vector<EventId> ids;
    for (const Event& e : log.events()) ids.push_back(id_of(e.header));
    return ids;
}

}  // namespace

TEST_CASE("a run comes through its bytes and the check as it was written") {
    World w;
    const auto run = decode_run(encode_run(w.log.run()));
    REQUIRE(run.has_value());
    CHECK(encode_run(run.value()) == encode_run(w.log.run()));
    const auto checked = w.check(run.value());
    REQUIRE(checked.has_value());
    REQUIRE(ids_of(checked.value()) == ids_of(w.log));
    for (std::size_t i = 0; i < checked.value().size(); ++i) {
        CHECK(codec::encode(checked.value()[i].event.header) == codec::encode(w.log.events()[i].header));
        CHECK(checked.value()[i].event.sealed == w.log.events()[i].sealed);
        CHECK(checked.value()[i].event.signature == w.log.events()[i].signature);
    }
}

TEST_CASE("a run may begin anywhere in a log and names key and control heads only where they change") {
    World w;
    for (std::size_t first = 0; first < 5; ++first) {
        CAPTURE(first);
        const auto run = decode_run(encode_run(w.log.run(first, 5 - first)));
        REQUIRE(run.has_value());
        CHECK(run.value().opening.has_value() == (first == 0));
        CHECK(w.check(run.value()).value().size() == 5 - first);
    }
    const Run run = w.log.run();
    CHECK(run.events[0].key.has_value());
    CHECK_FALSE(run.events[1].key.has_value());
    CHECK(run.events[2].key.has_value());
    CHECK_FALSE(run.events[2].ctl.has_value());
    CHECK(run.events[4].ctl.has_value());
}

TEST_CASE("an event costs 91 bytes or less beyond its plain body") {
    World w;
    const Run one = w.log.run(1, 1);
    const Run two = w.log.run(1, 2);
    const std::size_t plain = w.log.events()[2].sealed.size() - aead_tag_bytes;
    const std::size_t key_bytes = KeyId::size;  // the third event changes it
    CHECK(encode_run(two).size() - encode_run(one).size() - plain - key_bytes <= 91);
    CHECK(encoded_size(two.events[1]) == encode_run(two).size() - encode_run(one).size());
}

TEST_CASE("a run that is cut short anywhere, or has a byte too many, is refused") {
    World w;
    Bytes bytes = encode_run(w.log.run());
    for (std::size_t size = 0; size < bytes.size(); ++size) {
        REQUIRE(decode_run(ByteView(bytes).first(size)).error().fault() == Fault::peer);
    }
    bytes.push_back(0);
    CHECK(decode_run(bytes).error().fault() == Fault::peer);
}

TEST_CASE("a run with any bit changed is refused, or admits only a true beginning of the log") {
    World w;
    const Bytes bytes = encode_run(w.log.run());
    const auto whole = ids_of(w.log);
    for (std::size_t bit = 0; bit < bytes.size() * 8; ++bit) {
        Bytes changed = bytes;
        changed[bit / 8] ^= static_cast<std::uint8_t>(1 << bit % 8);
        const auto run = decode_run(changed);
        if (!run || run.value().first_seq != 0) continue;
        const auto checked = check_run(w.log.circle(), *run.value().opening, {}, run.value());
        if (!checked) continue;
        const auto ids = ids_of(checked.value());
        REQUIRE(ids.size() <= whole.size());
        REQUIRE(std::equal(ids.begin(), ids.end(), whole.begin()));
    }
}

TEST_CASE("the layout's own rules are checked when a run is read") {
    World w;
    const Run good = w.log.run();
    const auto refused = [](const Run& run) { return decode_run(encode_run(run)).error().sentence(); };
    Run run = good;
    run.opening.reset();
    CHECK(refused(run) == "A run of events cannot be read: a log's opening is misplaced.");
    run = good;
    run.first_seq = 1;
    CHECK(refused(run) == "A run of events cannot be read: a log's opening is misplaced.");
    run = good;
    run.events.clear();
    CHECK(refused(run) == "A run of events cannot be read: a run has too few or too many events.");
    run = good;
    run.events[0].ctl.emplace(limits::control_heads_max + 1);
    CHECK(refused(run) == "A run of events cannot be read: a list or text is too long.");
    run = good;
    run.events[1].sealed.resize(limits::body_bytes_max + 1);
    CHECK(refused(run) == "A run of events cannot be read: a list or text is too long.");
    run.events[1].sealed.resize(limits::body_bytes_max);
    CHECK(decode_run(encode_run(run)).has_value());
    run = good;
    run.events.assign(limits::run_events_max + 1, RunEvent{});
    CHECK(refused(run) == "A run of events cannot be read: a run has too few or too many events.");
}

TEST_CASE("an event with flags that nobody knows is refused") {
    World w;
    const Run one = w.log.run(1, 1);
    Bytes bytes = encode_run(one);
    const std::size_t flags = bytes.size() - encoded_size(one.events[0]) + Signature::size + EventSalt::size;
    bytes[flags] |= 4;
    CHECK(decode_run(bytes).error().sentence() == "A run of events cannot be read: unknown flags on an event.");
}

TEST_CASE("a bad signature in the middle is covered by a good one later") {
    World w;
    for (const std::size_t seq : {0, 1, 2, 3}) w.log.spoil_signature(seq);
    CHECK(w.check(w.log.run()).value().size() == 5);
}

TEST_CASE("events after the last good signature are left out") {
    World w;
    w.log.spoil_signature(4);
    w.log.spoil_signature(3);
    w.log.spoil_signature(1);
    const auto checked = w.check(w.log.run());
    REQUIRE(checked.has_value());
    CHECK(checked.value().size() == 3);
}

TEST_CASE("a run without any good signature is the sender's fault") {
    World w;
    for (std::size_t seq = 0; seq < 5; ++seq) w.log.spoil_signature(seq);
    CHECK(w.check(w.log.run()).error().fault() == Fault::peer);
}

namespace {

// A log of 600 events with no good signature on those from `first` on, `count` of them.
LogWriter with_a_gap(World& w, std::size_t first, std::size_t count) {
    LogWriter log(w.device, w.random);
    for (int i = 0; i < 600; ++i) log.write_note(w.key, "note");
    for (std::size_t seq = first; seq < first + count; ++seq) log.spoil_signature(seq);
    return log;
}

std::size_t admitted(const LogWriter& log) {
    const auto checked = check_run(log.circle(), log.opening(), log.tip_before(0), log.run());
    return checked ? checked.value().size() : 0;
}

}  // namespace

TEST_CASE("a signature stands over as many events as the proof of a fork can hold") {
    World w;
    for (const std::size_t first : {0, 1, 2, 200, 343}) {
        CAPTURE(first);
        CHECK(admitted(with_a_gap(w, first, limits::fork_links_max - 1)) == 600);
    }
}

TEST_CASE("a log ends before events that no signature stands over in reach") {
    World w;
    for (const std::size_t first : {1, 2, 200, 343}) {
        CAPTURE(first);
        CHECK(admitted(with_a_gap(w, first, limits::fork_links_max)) == first);
    }
}

TEST_CASE("a run that begins with more events than a signature stands over is the sender's fault") {
    World w;
    const LogWriter log = with_a_gap(w, 0, limits::fork_links_max);
    CHECK(check_run(log.circle(), log.opening(), log.tip_before(0), log.run()).error().fault() == Fault::peer);
}

TEST_CASE("of two stretches out of a signature's reach the first one decides") {
    World w;
    LogWriter log = with_a_gap(w, 20, limits::fork_links_max);
    for (std::size_t seq = 300; seq < 590; ++seq) log.spoil_signature(seq);
    CHECK(admitted(log) == 20);
}

TEST_CASE("an event that another device signed is not admitted") {
    World w;
    Run run = w.log.run(0, 1);
    run.events[0].signature = sign(w.log.circle().view(), make_sign_keys(w.random).secret);
    CHECK(w.check(run).error().fault() == Fault::peer);
}

TEST_CASE("a run that left an event out does not fit the chain") {
    World w;
    Run run = w.log.run(1, 2);
    run.first_seq = 2;
    run.events.erase(run.events.begin());
    run.events[0].key = w.log.events()[2].header.key;
    CHECK(check_run(w.log.circle(), w.log.opening(), w.log.tip_before(2), w.log.run(2, 1)).has_value());
    ChainTip elsewhere = w.log.tip_before(2);
    elsewhere.head.data[0] ^= 1;
    CHECK(check_run(w.log.circle(), w.log.opening(), elsewhere, w.log.run(2, 1)).error().fault() == Fault::peer);
}

TEST_CASE("a log's name must fit its opening and its circle") {
    World w;
    LogOpening other = w.log.opening();
    other.salt.data[0] ^= 1;
    Run run = w.log.run();
    CHECK(check_run(w.log.circle(), other, {}, run).error().sentence() == "A log's name does not fit its opening.");
    LogWriter plain(w.log.circle(), w.device, w.random);
    plain.write_note(w.key, "hello");
    CHECK(check_run(plain.circle(), plain.opening(), {}, plain.run()).has_value());
    const CircleId elsewhere = w.random.draw<CircleId>();
    CHECK(check_run(elsewhere, plain.opening(), {}, plain.run()).error().sentence() ==
          "A log's name does not fit its opening.");
}

TEST_CASE("a founding event names its circle and fits no other") {
    World w;
    CHECK(w.log.circle().data == id_of(w.log.events()[0].header).data);
    CHECK(w.log.events()[0].header.circle.is_zero());
    CHECK(w.log.events()[1].header.circle == w.log.circle());
    const CircleId elsewhere = w.random.draw<CircleId>();
    CHECK(check_run(elsewhere, w.log.opening(), {}, w.log.run(0, 1)).error().sentence() ==
          "A founding event does not fit its circle.");
}

TEST_CASE("two devices' logs do not mix: the opening's device must have signed") {
    World w;
    const SignKeys thief = make_sign_keys(w.random);
    Run run = w.log.run();
    run.opening->device = DeviceId{thief.pub.data};
    CHECK(check_run(w.log.circle(), *run.opening, {}, run).error().fault() == Fault::peer);
}
