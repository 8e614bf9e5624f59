// Every message of a sync session, of joining and of coming back: bytes to value and back.

#include "tests/fuzz/engine/again.hpp"
#include "tests/fuzz/engine/sync_messages.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

void knock(ByteView input) {
    const Result<SyncMessage> message = decode_message(input);
    if (message) return demand_same(input, encode_message(message.value()));
    demand(message.error().fault() == Fault::peer, "bytes that cannot be read are the peer's fault");
    demand_sentence(message.error().sentence());
}

}  // namespace

Door door() {
    test::SeededRandom random(31);
    Door out;
    out.knock = knock;
    for (std::size_t i = 0; i < 2 * std::variant_size_v<SyncMessage>; ++i) {
        const std::size_t which = i / 2;
        out.seeds.push_back({"type_" + std::to_string(which + 1) + (i % 2 == 0 ? "" : "_again"),
                             encode_message(random_message(which, random))});
    }
    out.reshape = [](ByteView input, test::SeededRandom& dice) { return tweaked_message(to_bytes(input), dice); };
    out.runs = 40'000;
    return out;
}

}  // namespace ladderline::fuzz
