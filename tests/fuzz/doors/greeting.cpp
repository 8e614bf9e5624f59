// Two strangers compare letters: messages of the other side, whichever side this is. Input: one byte that picks the
// side, then pieces.

#include "protocol/handshake/greeting.hpp"

#include "tests/fuzz/engine/pieces.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

Greeting make(bool hosts) {
    test::SeededRandom random(hosts ? 21 : 22);
    HandshakeHash handshake;
    return hosts ? Greeting::host(handshake, random) : Greeting::caller(handshake, random);
}

void knock(ByteView input) {
    if (input.empty()) return;
    Greeting greeting = make(input[0] % 2 == 0);
    bool over = false;
    for (const Bytes& message : cut_pieces(input.subspan(1))) {
        const Result<void> taken = greeting.on_message(message);
        demand(!over || !taken, "what is over stays over");
        over = !taken;
        if (over) {
            demand(taken.error().fault() == Fault::peer, "an odd message is the peer's fault");
            demand_sentence(taken.error().sentence());
            continue;
        }
        while (greeting.next_output()) {
        }
        if (greeting.letters_known()) demand(greeting.letters().size() == check_letters_count, "six letters");
        if (greeting.letters_known() && !greeting.said()) greeting.say(true);
    }
}

Bytes recorded(bool hosts) {
    Greeting self = make(hosts);
    Greeting other = make(!hosts);
    std::vector<Bytes> said;
    for (int turn = 0; turn < 4; ++turn) {
        while (const auto message = self.next_output()) ENSURE(other.on_message(*message).has_value());
        if (other.letters_known() && !other.said()) other.say(true);
        while (const auto message = other.next_output()) {
            ENSURE(self.on_message(*message).has_value());
            said.push_back(*message);
        }
        if (self.letters_known() && !self.said()) self.say(true);
    }
    ENSURE(self.agreed());
    Bytes out{static_cast<std::uint8_t>(hosts ? 0 : 1)};
    const Bytes joined = join_pieces(said);
    out.insert(out.end(), joined.begin(), joined.end());
    return out;
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {{"host", recorded(true)}, {"caller", recorded(false)}};
    out.reshape = [](ByteView input, test::SeededRandom& random) {
        Bytes changed{input.empty() ? std::uint8_t{0} : input[0]};
        const Bytes rest = reshape_pieces(input.empty() ? input : input.subspan(1), random, nibbled);
        changed.insert(changed.end(), rest.begin(), rest.end());
        return changed;
    };
    out.runs = 30'000;
    return out;
}

}  // namespace ladderline::fuzz
