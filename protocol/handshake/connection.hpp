#pragma once
// One connection from its first byte: preface, handshake, then messages; both roles. It touches no socket and no clock:
// a driver moves bytes, and asks for output after every call.
//
//   ik       initiator: preface, message 1 (no payload)      responder: awaiting_decision -> accept: message 2
//   (payload) xx       initiator: preface, message 1; message 3 (payload)                      responder: message 2 (no
//   payload) xx_psk0  as xx, and the responder looks the invite up before anything else
//
// A handshake message is framed like a channel frame: u16 big-endian length, then the Noise message.
// Message 1 can be replayed and xx message 2 goes to a stranger: neither may carry a payload, and one that does is
// refused by its length, before any Diffie-Hellman.

#include <functional>

#include "protocol/base/time.hpp"
#include "protocol/handshake/message_stream.hpp"
#include "protocol/handshake/preface.hpp"

namespace ladderline::protocol {

inline constexpr std::int64_t handshake_wait_ms_max = 10'000;
inline constexpr std::size_t handshake_payload_bytes_max = 4096;

struct InitiatorSetup {
    WirePattern pattern = WirePattern::ik;
    DhKeys local_static;
    std::optional<DhPublic> remote_static;  // ik: whom to reach; absent otherwise
    InviteId invite;                        // xx_psk0; zero otherwise
    std::optional<Psk> psk;                 // xx_psk0; absent otherwise
    Bytes payload;                          // xx, xx_psk0: goes with message 3; <= handshake_payload_bytes_max
    std::size_t message_bytes_max = limits::message_bytes_max;
};

struct ResponderSetup {
    DhKeys local_static;
    // The secret of an invite that is still open. Absent function: no invites. Called at most once.
    std::function<std::optional<Psk>(const InviteId&)> find_psk;
    bool allow_ik = true;
    bool allow_xx = true;
    std::size_t message_bytes_max = limits::message_bytes_max;
};

class Connection {
public:
    // `random` must outlive the connection. The preface and message 1 are ready as output at once.
    static Connection initiate(InitiatorSetup setup, Random& random, MonoTime now);
    static Connection respond(ResponderSetup setup, Random& random, MonoTime now);

    // Bytes from the other side, in pieces of any size. An error ends the connection for good: nothing more is written
    // (close without a word), and each later call gives the same error. Messages read before stay readable.
    //   unsupported  another wire version
    //   refused      a pattern this side does not take, an unknown invite, or a late call after refuse()
    //   peer         anything else
    //   network      the handshake took longer than handshake_wait_ms_max
    // Take messages out between calls: what is not taken out is kept in memory.
    Result<void> on_bytes(ByteView bytes, MonoTime now);
    // The stream ended. Fault::peer if inside a frame or a message; Fault::network if before the handshake was done.
    // Otherwise ok: whether the peer was done talking is for the layer above to know.
    Result<void> on_end();
    // When on_deadline wants to be called; none once established or failed.
    std::optional<MonoTime> deadline() const;
    Result<void> on_deadline(MonoTime now);
    // Everything to be written now, in order; empty if nothing. Nothing after a failure. Messages sent between two
    // calls share frames.
    Bytes next_output();

    // ik responder: the caller's key is proven and known, message 2 is not yet written. Bytes that arrive now are an
    // error.
    bool awaiting_decision() const { return state_ == State::awaiting_decision; }
    // Precondition: awaiting_decision(), payload.size() <= handshake_payload_bytes_max. Writes message 2.
    Result<void> accept(ByteView payload);
    // Ends without a word. Precondition: awaiting_decision().
    void refuse();

    bool established() const { return state_ == State::established; }
    bool failed() const { return state_ == State::failed; }
    Role role() const { return role_; }
    // Responder: precondition established() or awaiting_decision().
    WirePattern pattern() const { return preface_.pattern; }
    const InviteId& invite() const { return preface_.invite; }
    // Precondition: established() or awaiting_decision(). Stays readable after a later failure.
    const DhPublic& remote_static() const;
    // Precondition: established() now or before a failure.
    const HandshakeHash& handshake_hash() const;
    // What came with ik message 2 or xx message 3; empty if nothing did. Once: moved out.
    Bytes take_handshake_payload();

    // One whole message, kept for the next next_output(). Precondition: message.size() <= message_bytes_max (the peer's
    // bound is taken to be the same). `refused` before establishment or after a failure.
    Result<void> send(ByteView message);
    std::optional<Bytes> next_message();

private:
    enum class State : std::uint8_t { preface, handshake, awaiting_decision, established, failed };

    Connection(Role role, Random& random, MonoTime now, std::size_t message_bytes_max);
    Result<void> advance(ByteView bytes);
    Result<void> on_preface_bytes(ByteView& bytes);
    Result<void> start_responder();
    Result<void> on_handshake_bytes(ByteView& bytes);
    Result<void> on_handshake_message(ByteView message);
    Result<void> on_channel_bytes(ByteView bytes);
    Result<void> write_handshake_message(ByteView payload);
    bool payload_allowed() const;
    void finish_handshake();
    void end(Error error);
    Error fail(Error error);

    Role role_;
    State state_ = State::preface;
    Random* random_;
    MonoTime handshake_deadline_;
    Preface preface_;
    std::optional<ResponderSetup> responder_;  // until the preface has been read
    Bytes outgoing_payload_;                   // xx initiator: for message 3
    Bytes preface_in_;
    FrameReader handshake_frames_;
    std::size_t handshake_messages_ = 0;  // read or written so far
    std::optional<NoiseHandshake> handshake_;
    std::optional<DhPublic> remote_static_;
    std::optional<HandshakeHash> handshake_hash_;
    std::optional<SecureChannel> channel_;
    MessageReader messages_;
    std::size_t message_bytes_max_;
    Bytes output_;
    Bytes unsealed_;  // messages for the next frames
    Bytes handshake_payload_;
    std::optional<Error> error_;
};

}  // namespace ladderline::protocol
