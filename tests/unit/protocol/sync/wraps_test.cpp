#include "protocol/sync/wraps.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

// Keys and copies in memory; `allows` says whether the peer may have a fresh copy.
struct Shelf : WrapShelf {
    explicit Shelf(Random& r) : random(r) {}

    Result<std::vector<KeyId>> missing_keys(const CircleId&) override {
        looks += 1;
        return missing;
    }
    Result<std::optional<Wrap>> copy_for_peer(const CircleId&, const KeyId& key, const WrapTag& tag) override {
        for (const Wrap& copy : kept) {
            if (copy.tag == tag) return std::optional<Wrap>(copy);
        }
        if (!allows || !held || id_of_key(*held) != key) return std::optional<Wrap>();
        return std::optional<Wrap>(wrap_freshly(*held, peer_box, random));
    }
    Result<void> take_key(const CircleId&, const AeadKey& key) override {
        taken.push_back(id_of_key(key));
        std::erase(missing, id_of_key(key));
        return ok();
    }

    Random& random;
    std::vector<KeyId> missing;
    int looks = 0;  // for what is missing
    std::vector<Wrap> kept;
    std::optional<AeadKey> held;
    DhPublic peer_box;
    bool allows = true;
    std::vector<KeyId> taken;
};

struct Two {
    test::SeededRandom random{70};
    CircleId circle = random.draw<CircleId>();
    AeadKey key = AeadKey::random(random);
    DhKeys box = make_dh_keys(random);
    Shelf asking{random};
    Shelf asked{random};
    WrapBook asker{asking, dh_keys_from_secret(box.secret.clone()), {circle}};
    WrapBook answerer{asked, make_dh_keys(random), {circle}};

    Two() {
        asking.missing = {id_of_key(key)};
        asked.peer_box = box.pub;
    }
    std::optional<Bytes> answer() {
        const auto request = asker.next_request(circle).value();
        REQUIRE(request.has_value());
        return answerer.on_message(*request).value();
    }
};

}  // namespace

TEST_CASE("every copy of a wrapped key opens with its own box key and stands under the root") {
    test::SeededRandom random(71);
    const AeadKey key = AeadKey::random(random);
    for (const std::size_t count : {1U, 2U, 3U, 5U, 8U, 33U}) {
        std::vector<DhKeys> devices;
        std::vector<DhPublic> boxes;
        for (std::size_t i = 0; i < count; ++i) {
            devices.push_back(make_dh_keys(random));
            boxes.push_back(devices.back().pub);
        }
        const WrappedKey wrapped = wrap_key(key, boxes, random).value();
        REQUIRE(wrapped.copies.size() == count);
        for (const DhKeys& device : devices) {
            const WrapTag tag = tag_of(id_of_key(key), device.pub);
            const auto copy = std::find_if(wrapped.copies.begin(), wrapped.copies.end(),
                                           [&](const Wrap& wrap) { return wrap.tag == tag; });
            REQUIRE(copy != wrapped.copies.end());
            CHECK(copy->box.size() == 80);
            CHECK(is_under(*copy, wrapped.root));
            CHECK(equal_secret(unwrap(*copy, id_of_key(key), device).value().view(), key.view()));
            CHECK(codec::decode<Wrap>(codec::encode(*copy)).value() == *copy);
        }
    }
}

TEST_CASE("a copy with anything changed does not stand under the root") {
    test::SeededRandom random(72);
    const AeadKey key = AeadKey::random(random);
    std::vector<DhPublic> boxes;
    for (int i = 0; i < 6; ++i) boxes.push_back(make_dh_keys(random).pub);
    const WrappedKey wrapped = wrap_key(key, boxes, random).value();
    const Wrap good = wrapped.copies[2];
    Wrap tag = good;
    tag.tag.data[0] ^= 1;
    Wrap box = good;
    box.box[40] ^= 1;
    Wrap place = good;
    place.place ^= 1;
    Wrap far = good;
    far.place = static_cast<std::uint16_t>(far.place + 8);
    Wrap proof = good;
    proof.proof[1].data[3] ^= 1;
    Wrap shorter = good;
    shorter.proof.pop_back();
    for (const Wrap& bad : {tag, box, place, far, proof, shorter}) CHECK_FALSE(is_under(bad, wrapped.root));
}

TEST_CASE("a copy opens for nobody else, and not under the name of another key") {
    test::SeededRandom random(73);
    const AeadKey key = AeadKey::random(random);
    const DhKeys own = make_dh_keys(random);
    const Wrap copy = wrap_freshly(key, own.pub, random);
    CHECK_FALSE(unwrap(copy, id_of_key(key), make_dh_keys(random)).has_value());
    CHECK_FALSE(unwrap(copy, random.draw<KeyId>(), own).has_value());
}

TEST_CASE("a key is wrapped once for each box, and never for nobody") {
    test::SeededRandom random(74);
    const AeadKey key = AeadKey::random(random);
    const DhPublic box = make_dh_keys(random).pub;
    CHECK(wrap_key(key, {box, box}, random).value().copies.size() == 1);
    CHECK(wrap_key(key, {}, random).error().fault() == Fault::bad_input);
}

TEST_CASE("a device gets the key it asks for: the copy kept for it, or a fresh one") {
    for (const bool is_kept : {true, false}) {
        Two two;
        if (is_kept) {
            two.asked.kept = wrap_key(two.key, {two.box.pub, make_dh_keys(two.random).pub}, two.random).value().copies;
        } else {
            two.asked.held = two.key.clone();
        }
        const auto answer = two.answer();
        REQUIRE(answer.has_value());
        CHECK_FALSE(two.asker.on_message(*answer).value().has_value());
        CHECK(two.asking.taken == std::vector{id_of_key(two.key)});
        CHECK(two.asker.take_opened() == std::vector{two.circle});
        CHECK(two.asker.take_opened().empty());
    }
}

TEST_CASE("who may not read gets no key") {
    Two two;
    two.asked.held = two.key.clone();
    two.asked.allows = false;
    const auto answer = two.answer();
    REQUIRE(answer.has_value());
    CHECK_FALSE(two.asker.on_message(*answer).value().has_value());
    CHECK(two.asking.taken.empty());
}

TEST_CASE("a key is asked for once a connection, and one that opens shows what is missing next") {
    Two two;
    two.asked.held = two.key.clone();
    const auto answer = two.answer();
    CHECK_FALSE(two.asker.next_request(two.circle).value().has_value());
    two.asking.missing.push_back(two.random.draw<KeyId>());
    CHECK(two.asker.on_message(*answer).value().has_value());
}

TEST_CASE("keys that nobody asked for, and copies that do not open, are left alone") {
    Two two;
    REQUIRE(two.asker.next_request(two.circle).value().has_value());
    const AeadKey other = AeadKey::random(two.random);
    const Wrap unasked = wrap_freshly(other, two.box.pub, two.random);
    const Wrap broken = wrap_freshly(other, two.box.pub, two.random);
    const WrapAnswerMessage answer{two.circle, {{id_of_key(other), unasked}, {id_of_key(two.key), broken}}};
    Bytes message{wrap_answer_type};
    const Bytes body = codec::encode(answer);
    message.insert(message.end(), body.begin(), body.end());
    CHECK(two.asker.on_message(message).has_value());
    CHECK(two.asking.taken.empty());
}

TEST_CASE("an answer that no request waits for is the peer's fault, and nobody looks for missing keys because of it") {
    Two two;
    const Bytes empty = encode_wrap_message(WrapAnswerMessage{two.circle, {}});
    CHECK(two.asker.on_message(empty).error().fault() == Fault::peer);
    CHECK(two.asking.looks == 0);
    REQUIRE(two.asker.next_request(two.circle).value().has_value());
    REQUIRE(two.asker.on_message(empty).has_value());
    const int looks = two.asking.looks;
    CHECK(two.asker.on_message(empty).error().fault() == Fault::peer);
    CHECK(two.asking.looks == looks);
}

TEST_CASE("every request waits for an answer of its own, in its circle") {
    Two two;
    const CircleId other = two.random.draw<CircleId>();
    WrapBook asker(two.asking, dh_keys_from_secret(two.box.secret.clone()), {two.circle, other});
    REQUIRE(asker.next_request(two.circle).value().has_value());
    two.asking.missing = {two.random.draw<KeyId>()};
    REQUIRE(asker.next_request(two.circle).value().has_value());
    two.asking.missing.clear();
    CHECK(asker.on_message(encode_wrap_message(WrapAnswerMessage{other, {}})).error().fault() == Fault::peer);
    for (const bool is_last : {false, true}) {
        CHECK(asker.on_message(encode_wrap_message(WrapAnswerMessage{two.circle, {}})).has_value());
        CHECK(asker.awaits_answer() == !is_last);
    }
}

TEST_CASE("keys are neither asked for nor given in a circle that is not shared") {
    Two two;
    const CircleId other = two.random.draw<CircleId>();
    CHECK_FALSE(two.asker.next_request(other).value().has_value());
    WrapBook stranger(two.asking, dh_keys_from_secret(two.box.secret.clone()), {other});
    const auto request = stranger.next_request(other).value();
    REQUIRE(request.has_value());
    CHECK_FALSE(two.answerer.on_message(*request).value().has_value());
}

TEST_CASE("more keys than fit into a request, which nobody has, do not hide one that the peer has") {
    Two two;
    two.asked.held = two.key.clone();
    two.asking.missing.clear();
    for (std::size_t i = 0; i < 3 * limits::list_max; ++i) two.asking.missing.push_back(two.random.draw<KeyId>());
    two.asking.missing.push_back(id_of_key(two.key));
    auto request = two.asker.next_request(two.circle).value();
    for (int rounds = 0; request && rounds < 10; ++rounds) {
        const auto answer = two.answerer.on_message(*request).value();
        REQUIRE(answer.has_value());
        request = two.asker.on_message(*answer).value();
    }
    CHECK(two.asking.taken == std::vector{id_of_key(two.key)});
}

TEST_CASE("no circle's inventions use up what may be asked in another, and nobody looks for more of them") {
    Two two;
    const CircleId other = two.random.draw<CircleId>();
    WrapBook asker(two.asking, dh_keys_from_secret(two.box.secret.clone()), {two.circle, other});
    two.asking.missing.clear();
    for (int i = 0; i < 5'000; ++i) two.asking.missing.push_back(two.random.draw<KeyId>());
    std::size_t requests = 0;
    while (asker.next_request(two.circle).value()) ++requests;
    CHECK(requests == 4'096 / limits::list_max);
    const int looks = two.asking.looks;
    CHECK_FALSE(asker.next_request(two.circle).value().has_value());
    CHECK(two.asking.looks == looks);
    CHECK(asker.next_request(other).value().has_value());
}

TEST_CASE("wrap messages that are cut short anywhere, or have a byte too many, are the peer's fault") {
    Two two;
    two.asked.held = two.key.clone();
    const Bytes answer = *two.answer();
    for (std::size_t size = 1; size < answer.size(); ++size) {
        REQUIRE(two.asker.on_message(ByteView(answer).first(size)).error().fault() == Fault::peer);
    }
    Bytes longer = answer;
    longer.push_back(0);
    CHECK(two.asker.on_message(longer).error().fault() == Fault::peer);
}

TEST_CASE("a copy made for the paper key is asked for and opens") {
    Two t;
    const DhKeys paper = make_dh_keys(t.random);
    t.asker.also_opens(dh_keys_from_secret(paper.secret.clone()));
    t.asked.allows = false;
    t.asked.kept = {wrap_freshly(t.key, paper.pub, t.random)};
    const auto answer = t.answer();
    REQUIRE(answer.has_value());
    REQUIRE(t.asker.on_message(*answer).has_value());
    CHECK(t.asking.taken == std::vector<KeyId>{id_of_key(t.key)});
}
