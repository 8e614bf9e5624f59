#include "protocol/event/event.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

struct World {
    test::SeededRandom random{21};
    AeadKey key = AeadKey::random(random);
    SignKeys device = make_sign_keys(random);
    EventPlace place{random.draw<CircleId>(),
                     random.draw<LogId>(),
                     7,
                     random.draw<EventId>(),
                     {random.draw<EventId>(), random.draw<EventId>()}};
    Body body{{{1'700'000'000'000}, 3}, 53, {random.draw<EventId>()}, Bytes{1, 2, 3}};
    Event event = make_event(place, body, key, device.secret, random);
};

}  // namespace

TEST_CASE("an event says where it stands and carries its body sealed") {
    World w;
    const EventHeader& h = w.event.header;
    CHECK(h.version == event_version);
    CHECK(h.circle == w.place.circle);
    CHECK(h.log == w.place.log);
    CHECK(h.seq == 7);
    CHECK(h.prev == w.place.prev);
    CHECK(h.ctl == w.place.ctl);
    CHECK(h.key == id_of_key(w.key));
    CHECK(h.body_bytes == w.event.sealed.size());
    CHECK(h.body_hash == hash_of_body(w.event.sealed));
    CHECK(w.event.sealed.size() == codec::encode(w.body).size() + aead_tag_bytes);
}

TEST_CASE("a body opens with its epoch key") {
    World w;
    const auto body = open_body(w.event.header, w.event.sealed, w.key);
    REQUIRE(body.has_value());
    CHECK(codec::encode(body.value()) == codec::encode(w.body));
}

TEST_CASE("a body does not open with another key") {
    World w;
    const auto body = open_body(w.event.header, w.event.sealed, AeadKey::random(w.random));
    CHECK(body.error().fault() == Fault::wrong_key);
}

TEST_CASE("a body opens in its own place alone") {
    World w;
    struct Change {
        const char* what;
        void (*apply)(EventHeader&);
    };
    const Change changes[] = {
        {"version", [](EventHeader& h) { h.version = 2; }},
        {"circle", [](EventHeader& h) { h.circle.data[0] ^= 1; }},
        {"log", [](EventHeader& h) { h.log.data[0] ^= 1; }},
        {"seq", [](EventHeader& h) { h.seq += 1; }},
        {"prev", [](EventHeader& h) { h.prev.data[31] ^= 1; }},
        {"ctl", [](EventHeader& h) { h.ctl.pop_back(); }},
        {"salt", [](EventHeader& h) { h.salt.data[0] ^= 1; }},
    };
    for (const Change& change : changes) {
        CAPTURE(change.what);
        EventHeader header = w.event.header;
        change.apply(header);
        CHECK(open_body(header, w.event.sealed, w.key).error().fault() == Fault::wrong_key);
        CHECK(id_of(header) != id_of(w.event.header));
    }
}

TEST_CASE("an event's id hangs on the key and on the body") {
    World w;
    EventHeader header = w.event.header;
    header.key.data[0] ^= 1;
    CHECK(id_of(header) != id_of(w.event.header));
    header = w.event.header;
    header.body_hash.data[0] ^= 1;
    CHECK(id_of(header) != id_of(w.event.header));
    header = w.event.header;
    header.body_bytes += 1;
    CHECK(id_of(header) != id_of(w.event.header));
}

TEST_CASE("a sealed body with any bit changed does not open") {
    World w;
    for (std::size_t i = 0; i < w.event.sealed.size(); ++i) {
        Bytes sealed = w.event.sealed;
        sealed[i] ^= 0x10;
        REQUIRE(open_body(w.event.header, sealed, w.key).error().fault() == Fault::wrong_key);
    }
}

TEST_CASE("sealed bytes too short for a seal do not open") {
    World w;
    CHECK(open_body(w.event.header, Bytes(15), w.key).error().fault() == Fault::wrong_key);
}

TEST_CASE("the signature is over the event's id, by the device") {
    World w;
    CHECK(verify(id_of(w.event.header).view(), w.event.signature, w.device.pub));
    CHECK_FALSE(verify(id_of(w.event.header).view(), w.event.signature, make_sign_keys(w.random).pub));
}

TEST_CASE("the same body twice in one place shares neither nonce nor id") {
    World w;
    const Event again = make_event(w.place, w.body, w.key, w.device.secret, w.random);
    CHECK(again.header.salt != w.event.header.salt);
    CHECK(again.sealed != w.event.sealed);
    CHECK(id_of(again.header) != id_of(w.event.header));
}

TEST_CASE("a log's id commits to circle, device, salt and founding") {
    World w;
    const LogOpening opening{DeviceId{w.device.pub.data}, w.random.draw<LogSalt>(), false};
    const LogId id = log_id_of(w.place.circle, opening);
    LogOpening other = opening;
    other.salt.data[0] ^= 1;
    CHECK(log_id_of(w.place.circle, other) != id);
    other = opening;
    other.device.data[0] ^= 1;
    CHECK(log_id_of(w.place.circle, other) != id);
    other = opening;
    other.founding = true;
    CHECK(log_id_of(w.place.circle, other) != id);
    CHECK(log_id_of(w.random.draw<CircleId>(), opening) != id);
}

TEST_CASE("the same seed makes the same event") {
    CHECK(id_of(World().event.header) == id_of(World().event.header));
}
