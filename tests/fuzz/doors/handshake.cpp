// The first bytes of a connection, all patterns and both roles, and what follows them inside the channel. Input: one
// byte that picks the pattern and the role, one that says in what pieces the rest arrives, then the other side's bytes.
// Randomness is the same each time, so that recorded bytes of the honest other side still fit.

#include "tests/fuzz/engine/door.hpp"
#include "tests/support/protocol/handshake_pair.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

constexpr std::size_t message_bytes_max = 4096;
constexpr MonoTime now{1000};
constexpr std::array patterns{WirePattern::ik, WirePattern::xx, WirePattern::xx_psk0};

Connection make(bool initiates, WirePattern pattern, Random& random) {
    if (initiates) {
        InitiatorSetup setup = test::initiator_setup(pattern);
        setup.message_bytes_max = message_bytes_max;
        if (pattern != WirePattern::ik) setup.payload = to_bytes(as_bytes("who I am"));
        return Connection::initiate(std::move(setup), random, now);
    }
    ResponderSetup setup = test::responder_setup();
    setup.message_bytes_max = message_bytes_max;
    return Connection::respond(std::move(setup), random, now);
}

void step(Connection& connection) {
    if (connection.awaiting_decision()) demand(connection.accept(as_bytes("welcome")).has_value(), "a caller is taken");
}

void knock(ByteView input) {
    if (input.size() < 2) return;
    const bool initiates = input[0] % 2 == 1;
    test::SeededRandom random(initiates ? 11 : 12);
    Connection connection = make(initiates, patterns[input[0] / 2 % patterns.size()], random);
    const std::size_t piece = 1 + input[1];
    for (ByteView rest = input.subspan(2); !rest.empty();) {
        const ByteView part = rest.first(std::min(piece, rest.size()));
        rest = rest.subspan(part.size());
        const Result<void> taken = connection.on_bytes(part, now);
        if (!taken) demand_sentence(taken.error().sentence());
        demand(connection.failed() == !taken.has_value(), "an error ends the connection");
        step(connection);
        const Bytes written = connection.next_output();
        demand(!connection.failed() || written.empty(), "nothing is written after a failure");
        while (const auto message = connection.next_message()) {
            demand(message->size() <= message_bytes_max, "a message keeps its bound");
        }
        if (connection.failed()) return;
    }
    demand(connection.on_end().has_value() || connection.failed(), "an end that is an error is a failure");
}

// What the other side says in an honest talk.
Bytes recorded(bool initiates, WirePattern pattern) {
    test::SeededRandom mine(initiates ? 11 : 12);
    test::SeededRandom theirs(initiates ? 12 : 11);
    Connection self = make(initiates, pattern, mine);
    Connection other = make(!initiates, pattern, theirs);
    Bytes out;
    for (int turn = 0; turn < 6; ++turn) {
        step(self);
        step(other);
        ENSURE(other.on_bytes(self.next_output(), now).has_value());
        step(other);
        if (other.established() && turn == 4) ENSURE(other.send(as_bytes("first words")).has_value());
        const Bytes said = other.next_output();
        out.insert(out.end(), said.begin(), said.end());
        ENSURE(self.on_bytes(said, now).has_value());
    }
    ENSURE(self.established() && other.established());
    return out;
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    for (std::size_t i = 0; i < 2 * patterns.size(); ++i) {
        const bool initiates = i % 2 == 1;
        Bytes input{static_cast<std::uint8_t>(i), static_cast<std::uint8_t>(i < 2 ? 0 : 255)};
        const Bytes said = recorded(initiates, patterns[i / 2]);
        input.insert(input.end(), said.begin(), said.end());
        out.seeds.push_back({std::string(noise_name(patterns[i / 2])) + (initiates ? "_caller" : "_called"), input});
    }
    out.words = {"LADDER\x01", std::string("\0\x30", 2), std::string("\0\x60", 2)};
    out.runs = 2000;
    return out;
}

}  // namespace ladderline::fuzz
