// Proofs that a device wrote two events with one number.

#include "protocol/event/fork_proof.hpp"

#include "tests/fuzz/engine/again.hpp"
#include "tests/support/protocol/log_writer.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

struct World {
    test::SeededRandom random{6};
    CircleId circle = random.draw<CircleId>();
    AeadKey key = AeadKey::random(random);
    SignKeys device = make_sign_keys(random);

    ForkProof proof(std::size_t before, std::size_t unsigned_links) {
        test::LogWriter one(circle, device, random);
        for (std::size_t i = 0; i < before; ++i) one.write_note(key, "common");
        test::LogWriter other = one;
        for (std::size_t i = 0; i <= unsigned_links; ++i) one.write_note(key, "one side");
        other.write_note(key, "the other side");
        for (std::size_t i = 0; i < unsigned_links; ++i) one.spoil_signature(before + i);
        return prove_fork(one.opening(), branch(one, before), branch(other, before)).value();
    }
    std::vector<CheckedEvent> branch(const test::LogWriter& log, std::size_t from) {
        std::vector<CheckedEvent> out;
        for (std::size_t i = from; i < log.events().size(); ++i) {
            out.push_back({id_of(log.events()[i].header), log.events()[i]});
        }
        return out;
    }
};

void knock(ByteView input) {
    static const CircleId circle = World().circle;
    demand_codec<ForkProof>(input);
    const Result<ForkProof> proof = codec::decode<ForkProof>(input);
    if (!proof) return;
    const Result<void> verified = verify_fork(circle, proof.value());
    if (!verified) demand(verified.error().fault() == Fault::peer, "a false proof is the peer's fault");
}

}  // namespace

Door door() {
    World world;
    Door out;
    out.knock = knock;
    out.seeds = {{"at_the_beginning", codec::encode(world.proof(0, 0))},
                 {"later", codec::encode(world.proof(3, 0))},
                 {"signed_late", codec::encode(world.proof(1, 4))}};
    out.runs = 10'000;
    return out;
}

}  // namespace ladderline::fuzz
