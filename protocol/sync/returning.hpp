#pragma once
// A member who lost their machine comes back on a new device, with their identity from paper: whom they call for, and
// how they prove it. The connection is xx_psk0 under a secret that those who know the member's id can work out, so a
// stranger who calls learns nothing, not even the node's key. The id is no proof: the signature over the handshake is.

#include "protocol/handshake/noise.hpp"
#include "protocol/handshake/preface.hpp"
#include "protocol/sync/messages.hpp"

namespace ladderline::protocol {

InviteId return_invite(const MemberId& member);
Psk return_psk(const MemberId& member);

ReturnMessage make_return(const DeviceCertificate& device, const SignKeys& identity, const HandshakeHash& handshake);
// The certificate and the signature are genuine, for this connection and the device at its other end.
bool is_genuine(const ReturnMessage& message, const HandshakeHash& handshake, const DhPublic& remote);

}  // namespace ladderline::protocol
