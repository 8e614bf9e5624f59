#include "protocol/courier/messages.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/random_value.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

template <class Fixed>
Fixed counted(std::uint8_t from) {
    Fixed out;
    for (std::uint8_t& b : out.data) b = from++;
    return out;
}

template <std::size_t I>
CourierMessage random_message(test::SeededRandom& random) {
    std::variant_alternative_t<I, CourierMessage> message;
    test::Filler filler(random);
    message.serialize(filler);
    return CourierMessage(std::in_place_index<I>, std::move(message));
}

template <std::size_t... I>
std::vector<CourierMessage> one_of_each(test::SeededRandom& random, std::index_sequence<I...>) {
    return {random_message<I>(random)...};
}

}  // namespace

// If a test here fails, programs that are out there can no longer talk to this one.
TEST_CASE("messages to and from a courier have these bytes") {
    const auto message = [](const CourierMessage& m) { return to_hex(encode_courier_message(m)); };
    const std::string id = "404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f";
    const std::string key = "808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9f";
    const std::string zeros(128, '0');
    const auto circle = counted<CircleId>(0x40);
    const auto pub = counted<SignPublic>(0x80);
    CHECK(message(PlaceMessage{circle, pub, pub}) == "14" + id + key + key);
    CHECK(message(PlacedMessage{std::nullopt, "no"}) == "1500026e6f");
    CHECK(message(PlacedMessage{PlacedMessage::Place{counted<DhPublic>(0x40), pub, 300, 30}, ""}) ==
          "1501" + id + key + "ac021e00");
    CHECK(message(AccessMessage{{{circle, pub, {}}}}) == "1601" + id + key + zeros);
    CHECK(message(AccessAnswerMessage{
              {{AccessVerdict::former_key, counted<AccessHint>(1), true, 300, {counted<KeyId>(0x10)}}}}) ==
          "170103010203040506070801ac0201101112131415161718191a1b1c1d1e1f");
    CHECK(message(RenewMessage{circle, pub, {}}) == "18" + id + key + zeros);
    CHECK(message(StopMessage{circle, {}}) == "19" + id + zeros);
    CHECK(message(SaidMessage{circle, CourierSaid::not_registrar}) == "1a" + id + "03");
    CHECK(message(FullMessage{circle, FullReason::log}) == "1b" + id + "01");
    CHECK(message(Receipt{circle, Root{pub.data}, 300, WallTime{1}, 30, {}}) == "1c" + id + key + "ac02021e" + zeros);
    CHECK(message(KnownCouriersMessage{{{circle, {"h:1", DhPublic{pub.data}, pub, 300, 30, true}}}}) ==
          "1d01" + id + "03683a31" + key + key + "ac021e01");
}

// The values were worked out a second time by a program of its own from section 8.2 of WIRE.md, BLAKE2b and RFC 8032.
TEST_CASE("what proves access, renews, ends and receipts has these bytes") {
    const auto circle = counted<CircleId>(0);
    const AeadKey epoch = AeadKey::copy_of(counted<Root>(0x40).view());
    const SignKeys access = access_keys(circle, epoch);
    const auto handshake = counted<HandshakeHash>(0x80);
    CHECK(to_hex(access.pub.view()) == "989e72814ed04929a8a51ae26186b332585a76605ef720cf4fd8836cd3a55b66");
    CHECK(to_hex(hint_of(access.pub).view()) == "5191b79bc476b3bd");
    const auto start = [](const Signature& signature) { return to_hex(signature.view().first(16)); };
    CHECK(start(make_claim(circle, access, handshake).proof) == "fc7fcf6c65bf821deeb3ebab692530f3");
    CHECK(start(make_renewal(circle, access.pub, access.secret, handshake).by_registrar) ==
          "0ed67b05b53750ab8d7720d7c345a27c");
    CHECK(start(make_stop(circle, access.secret, handshake).by_registrar) == "7186418c7a8335519d23918357e4e56e");
    Receipt receipt{circle, counted<Root>(0x20), 5, WallTime{1'800'000'000'000}, 30, {}};
    sign_receipt(receipt, access.secret);
    CHECK(start(receipt.by_courier) == "12ebeba3c935928f8e935c81c06c900b");
}

TEST_CASE("every message to and from a courier reads back, and none that is cut") {
    test::SeededRandom random(81);
    for (int round = 0; round < 20; ++round) {
        for (const CourierMessage& message :
             one_of_each(random, std::make_index_sequence<std::variant_size_v<CourierMessage>>())) {
            const Bytes bytes = encode_courier_message(message);
            const auto read = decode_courier_message(bytes);
            REQUIRE(read.has_value());
            CHECK(encode_courier_message(read.value()) == bytes);
            for (std::size_t size = 0; size < bytes.size(); ++size) {
                CHECK_FALSE(decode_courier_message(ByteView(bytes).first(size)).has_value());
            }
        }
    }
}

TEST_CASE("a message of a type that no courier knows is told apart from a broken one") {
    for (const Bytes& bytes : {Bytes{0x00, 0}, Bytes{0x13, 0}, Bytes{0x1e, 0}, Bytes{0xff, 0}}) {
        const auto read = decode_courier_message(bytes);
        REQUIRE_FALSE(read.has_value());
        CHECK(read.error().sentence() == "A courier's message has an unknown type.");
    }
}

TEST_CASE("the access key depends on the circle and on the epoch key") {
    test::SeededRandom random(82);
    const auto circle = random.draw<CircleId>();
    const AeadKey key = AeadKey::random(random);
    CHECK(access_keys(circle, key).pub == access_keys(circle, key).pub);
    CHECK(access_keys(circle, key).pub != access_keys(random.draw<CircleId>(), key).pub);
    CHECK(access_keys(circle, key).pub != access_keys(circle, AeadKey::random(random)).pub);
}

TEST_CASE("a signature for one thing stands for nothing else") {
    test::SeededRandom random(83);
    const auto circle = random.draw<CircleId>();
    const auto handshake = random.draw<HandshakeHash>();
    const SignKeys keys = make_sign_keys(random);
    const auto claim = make_claim(circle, keys, handshake);
    const auto renewal = make_renewal(circle, keys.pub, keys.secret, handshake);
    const auto stop = make_stop(circle, keys.secret, handshake);
    CHECK(is_genuine(claim, handshake));
    CHECK(is_genuine(renewal, keys.pub, handshake));
    CHECK(is_genuine(stop, keys.pub, handshake));
    CHECK_FALSE(is_genuine(AccessMessage::Claim{circle, keys.pub, renewal.by_registrar}, handshake));
    CHECK_FALSE(is_genuine(RenewMessage{circle, keys.pub, claim.proof}, keys.pub, handshake));
    CHECK_FALSE(is_genuine(StopMessage{circle, renewal.by_registrar}, keys.pub, handshake));
    const auto other = random.draw<HandshakeHash>();
    CHECK_FALSE(is_genuine(claim, other));
    CHECK_FALSE(is_genuine(renewal, keys.pub, other));
    CHECK_FALSE(is_genuine(stop, keys.pub, other));
}

TEST_CASE("a receipt with any field changed is not the courier's") {
    test::SeededRandom random(84);
    const SignKeys courier = make_sign_keys(random);
    Receipt receipt{random.draw<CircleId>(), random.draw<Root>(), 5, WallTime{7}, 30, {}};
    sign_receipt(receipt, courier.secret);
    REQUIRE(is_genuine(receipt, courier.pub));
    CHECK_FALSE(is_genuine(receipt, make_sign_keys(random).pub));
    for (int field = 0; field < 5; ++field) {
        Receipt changed = receipt;
        if (field == 0) changed.circle.data[0] ^= 1;
        if (field == 1) changed.root.data[31] ^= 1;
        if (field == 2) changed.arrivals += 1;
        if (field == 3) changed.at.ms += 1;
        if (field == 4) changed.days += 1;
        CHECK_FALSE(is_genuine(changed, courier.pub));
    }
}
