// Frames and messages of an established channel. The first byte says in what pieces the rest arrives; an odd one: the
// rest is plain bytes that this side seals itself, so that the message reader behind the cipher is reached.

#include "protocol/handshake/message_stream.hpp"
#include "tests/fuzz/engine/door.hpp"
#include "tests/support/protocol/handshake_pair.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

constexpr std::size_t message_bytes_max = 4096;

void read_frames(SecureChannel& channel, MessageReader& reader, ByteView wire, std::size_t piece) {
    while (!wire.empty()) {
        const ByteView part = wire.first(std::min(piece, wire.size()));
        wire = wire.subspan(part.size());
        const Result<void> taken = channel.on_bytes(part);
        bool reads_on = taken.has_value();
        demand(channel.dead() == !reads_on, "an error ends the channel");
        while (auto frame = channel.next_frame()) {
            if (reads_on && !reader.on_plain(*frame)) reads_on = false;
        }
        while (auto message = reader.next()) demand(message->size() <= message_bytes_max, "a message keeps its bound");
        if (!reads_on) return;
    }
}

Bytes sealed_by(SecureChannel& channel, ByteView plain) {
    return seal_plain(channel, plain).value();
}

Seed frames_seed(const std::string& name, std::uint8_t mode, std::size_t messages) {
    Bytes plain;
    for (std::size_t i = 0; i < messages; ++i) put_message(plain, as_bytes("CQ CQ CQ de QQ1ABC"));
    SecureChannel sender(test::transport_ciphers().first);
    Bytes input{mode};
    const Bytes rest = mode % 2 == 0 ? sealed_by(sender, plain) : plain;
    input.insert(input.end(), rest.begin(), rest.end());
    return {name, input};
}

void knock(ByteView input) {
    if (input.empty()) return;
    auto ciphers = test::transport_ciphers();
    SecureChannel sender(std::move(ciphers.first));
    SecureChannel receiver(std::move(ciphers.second));
    MessageReader reader(message_bytes_max);
    const std::size_t piece = 1 + input[0] / 2 * 7;
    const ByteView rest = input.subspan(1);
    read_frames(receiver, reader, input[0] % 2 == 0 ? to_bytes(rest) : sealed_by(sender, rest), piece);
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {frames_seed("sealed", 200, 3), frames_seed("sealed_by_bytes", 0, 2), frames_seed("plain", 201, 5),
                 frames_seed("plain_by_bytes", 1, 2)};
    out.runs = 4000;
    return out;
}

}  // namespace ladderline::fuzz
