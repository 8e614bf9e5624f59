#include "protocol/courier/messages.hpp"

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

struct ProofTag;
using Proof = FixedBytes<ProofTag, 32>;
struct SeedTag;
using Seed = Secret<SeedTag, 32>;

Proof access_proof(const CircleId& circle, const SignPublic& access, const HandshakeHash& handshake) {
    return hash_as<Proof>("ladderline courier access proof 1", {circle.view(), access.view(), handshake.view()});
}

Proof renew_proof(const CircleId& circle, const SignPublic& access, const HandshakeHash& handshake) {
    return hash_as<Proof>("ladderline courier renew 1", {circle.view(), access.view(), handshake.view()});
}

Proof stop_proof(const CircleId& circle, const HandshakeHash& handshake) {
    return hash_as<Proof>("ladderline courier stop 1", {circle.view(), handshake.view()});
}

Proof receipt_proof(const Receipt& receipt) {
    Receipt bare = receipt;
    bare.by_courier = {};
    const Bytes words = codec::encode(bare);
    return hash_as<Proof>("ladderline courier receipt 1", {words});
}

template <std::size_t I = 0>
Result<CourierMessage> decode_as(std::uint8_t type, ByteView rest) {
    if constexpr (I == std::variant_size_v<CourierMessage>) {
        return Error{Fault::peer, "A courier's message has an unknown type."};
    } else {
        if (type != courier_type_first + I) return decode_as<I + 1>(type, rest);
        TRY(auto message, codec::decode<std::variant_alternative_t<I, CourierMessage>>(rest));
        return CourierMessage{std::move(message)};
    }
}

}  // namespace

Bytes encode_courier_message(const CourierMessage& message) {
    codec::Writer ar;
    ar.put(static_cast<std::uint8_t>(message.index() + courier_type_first));
    std::visit([&](const auto& m) { ar(m); }, message);
    return ar.take();
}

Result<CourierMessage> decode_courier_message(ByteView bytes) {
    if (bytes.empty()) return Error{Fault::peer, "A courier's message is empty."};
    return decode_as(bytes.front(), bytes.subspan(1));
}

SignKeys access_keys(const CircleId& circle, const AeadKey& epoch_key) {
    static constexpr std::string_view domain = "ladderline courier access key 1";
    Seed seed;
    // The key as hash key: no copy of it in ordinary memory.
    blake2b(seed.mutable_view(), {as_bytes(domain), circle.view()}, epoch_key.view());
    return sign_keys_from_seed(seed.view());
}

AccessHint hint_of(const SignPublic& access) {
    const auto wide = hash_as<Proof>("ladderline courier hint 1", {access.view()});
    return AccessHint::from(wide.view().first(AccessHint::size));
}

AccessMessage::Claim make_claim(const CircleId& circle, const SignKeys& access, const HandshakeHash& handshake) {
    return {circle, access.pub, sign(access_proof(circle, access.pub, handshake).view(), access.secret)};
}

bool is_genuine(const AccessMessage::Claim& claim, const HandshakeHash& handshake) {
    return verify(access_proof(claim.circle, claim.access, handshake).view(), claim.proof, claim.access);
}

RenewMessage make_renewal(const CircleId& circle, const SignPublic& access, const SignSecret& registrar,
                          const HandshakeHash& handshake) {
    return {circle, access, sign(renew_proof(circle, access, handshake).view(), registrar)};
}

bool is_genuine(const RenewMessage& message, const SignPublic& registrar, const HandshakeHash& handshake) {
    return verify(renew_proof(message.circle, message.access, handshake).view(), message.by_registrar, registrar);
}

StopMessage make_stop(const CircleId& circle, const SignSecret& registrar, const HandshakeHash& handshake) {
    return {circle, sign(stop_proof(circle, handshake).view(), registrar)};
}

bool is_genuine(const StopMessage& message, const SignPublic& registrar, const HandshakeHash& handshake) {
    return verify(stop_proof(message.circle, handshake).view(), message.by_registrar, registrar);
}

void sign_receipt(Receipt& receipt, const SignSecret& courier) {
    receipt.by_courier = sign(receipt_proof(receipt).view(), courier);
}

bool is_genuine(const Receipt& receipt, const SignPublic& courier) {
    return verify(receipt_proof(receipt).view(), receipt.by_courier, courier);
}

}  // namespace ladderline::protocol
