#pragma once
// Two ends of a handshake or of a connection in one process, with keys that replay from a number.

#include "protocol/handshake/connection.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {

using namespace ladderline::protocol;

inline DhKeys dh_keys(std::uint64_t seed) {
    SeededRandom random(seed);
    return make_dh_keys(random);
}

inline Psk psk_of(std::uint64_t seed) {
    SeededRandom random(seed);
    return Psk::random(random);
}

inline InviteId invite_of(std::uint64_t seed) {
    SeededRandom random(seed);
    return random.draw<InviteId>();
}

// A setup of the named pattern with everything it needs. Static keys: initiator 1, responder 2; psk: 3.
inline NoiseSetup noise_setup_of(std::string_view pattern, Role role) {
    NoiseSetup out;
    out.pattern = noise_pattern(pattern).value();
    out.role = role;
    out.prologue = to_bytes(as_bytes("prologue"));
    const bool initiator = role == Role::initiator;
    out.local_static = dh_keys(initiator ? 1 : 2);
    if (initiator && out.pattern.responder_known) out.remote_static = dh_keys(2).pub;
    if (out.pattern.uses_psk) out.psks.push_back(psk_of(3));
    return out;
}

struct HandshakePair {
    explicit HandshakePair(std::string_view pattern)
        : HandshakePair(noise_setup_of(pattern, Role::initiator), noise_setup_of(pattern, Role::responder)) {}
    HandshakePair(NoiseSetup init_setup, NoiseSetup resp_setup)
        : init(std::move(init_setup), init_random), resp(std::move(resp_setup), resp_random) {}

    NoiseHandshake& writer() { return init.my_turn() ? init : resp; }
    NoiseHandshake& reader() { return init.my_turn() ? resp : init; }

    SeededRandom init_random{11};
    SeededRandom resp_random{12};
    NoiseHandshake init;
    NoiseHandshake resp;
};

// {initiator, responder} after an IK handshake.
inline std::pair<TransportCiphers, TransportCiphers> transport_ciphers() {
    HandshakePair pair("IK");
    while (!pair.init.finished()) {
        NoiseHandshake& reader = pair.reader();
        ENSURE(reader.read_message(pair.writer().write_message({}).value()).has_value());
    }
    return {pair.init.split(), pair.resp.split()};
}

// Two connections of one pattern that fit each other: static keys as above, invite 4 with psk 3.
inline InitiatorSetup initiator_setup(WirePattern pattern) {
    InitiatorSetup out;
    out.pattern = pattern;
    out.local_static = dh_keys(1);
    if (pattern == WirePattern::ik) out.remote_static = dh_keys(2).pub;
    if (pattern == WirePattern::xx_psk0) {
        out.invite = invite_of(4);
        out.psk = psk_of(3);
    }
    return out;
}

inline ResponderSetup responder_setup() {
    ResponderSetup out;
    out.local_static = dh_keys(2);
    out.find_psk = [](const InviteId& id) -> std::optional<Psk> {
        if (id != invite_of(4)) return std::nullopt;
        return psk_of(3);
    };
    return out;
}

class ConnectionPair {
public:
    explicit ConnectionPair(WirePattern pattern) : ConnectionPair(initiator_setup(pattern), responder_setup()) {}
    ConnectionPair(InitiatorSetup init_setup, ResponderSetup resp_setup)
        : init(Connection::initiate(std::move(init_setup), init_random_, now)),
          resp(Connection::respond(std::move(resp_setup), resp_random_, now)) {}

    // Carries bytes to and fro in pieces of `piece_bytes` until neither side has any; accepts a caller with `payload`.
    // Byte number `flip_at` of all that is carried is changed by `flip_with`. Stops carrying to a side that has failed.
    void run(std::size_t piece_bytes = SIZE_MAX) {
        bool moved = true;
        while (moved) {
            moved = carry(init, resp, piece_bytes);
            if (resp.awaiting_decision()) accept_failed |= !resp.accept(accept_payload);
            moved = carry(resp, init, piece_bytes) || moved;
        }
    }

    MonoTime now{1000};
    Bytes accept_payload;
    bool accept_failed = false;
    std::optional<std::size_t> flip_at;
    std::uint8_t flip_with = 1;
    std::size_t carried = 0;

private:
    bool carry(Connection& from, Connection& to, std::size_t piece_bytes) {
        Bytes bytes = from.next_output();
        for (std::uint8_t& b : bytes) {
            if (carried++ == flip_at) b ^= flip_with;
        }
        for (ByteView rest = bytes; !rest.empty() && !to.failed();) {
            const ByteView piece = rest.first(std::min(piece_bytes, rest.size()));
            rest = rest.subspan(piece.size());
            // An error shows as to.failed(); fault() below asks for its kind.
            if (!to.on_bytes(piece, now)) break;
        }
        return !bytes.empty();
    }

    SeededRandom init_random_{11};
    SeededRandom resp_random_{12};

public:
    Connection init;
    Connection resp;
};

// The kind of error of a failed connection.
inline std::optional<Fault> fault_of(Connection& connection) {
    if (!connection.failed()) return std::nullopt;
    const auto again = connection.on_deadline({0});
    return again ? std::nullopt : std::optional(again.error().fault());
}

}  // namespace ladderline::test
