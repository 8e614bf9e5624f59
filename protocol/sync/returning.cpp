#include "protocol/sync/returning.hpp"

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

struct ReturnProofTag;
using ReturnProof = FixedBytes<ReturnProofTag, 32>;
struct ReturnSecretTag;
using ReturnSecret = FixedBytes<ReturnSecretTag, Psk::size>;

ReturnProof proof(const DeviceId& device, const HandshakeHash& handshake) {
    return hash_as<ReturnProof>("ladderline return proof 1", {handshake.view(), device.view()});
}

}  // namespace

InviteId return_invite(const MemberId& member) {
    return hash_as<InviteId>("ladderline return id 1", {member.view()});
}

Psk return_psk(const MemberId& member) {
    return Psk::copy_of(hash_as<ReturnSecret>("ladderline return psk 1", {member.view()}).view());
}

ReturnMessage make_return(const DeviceCertificate& device, const SignKeys& identity, const HandshakeHash& handshake) {
    return {device, sign(proof(device.device, handshake).view(), identity.secret)};
}

bool is_genuine(const ReturnMessage& message, const HandshakeHash& handshake, const DhPublic& remote) {
    return message.device.noise == remote && is_genuine(message.device) &&
           verify(proof(message.device.device, handshake).view(), message.by_member,
                  signing_key(message.device.member));
}

}  // namespace ladderline::protocol
