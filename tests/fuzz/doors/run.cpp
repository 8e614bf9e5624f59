// Runs of events, as sync messages and bundles carry them: decoding, and the chain rule that admits them.

#include "protocol/event/chain.hpp"
#include "tests/fuzz/engine/again.hpp"
#include "tests/support/protocol/log_writer.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

struct World {
    test::SeededRandom random{5};
    CircleId circle = random.draw<CircleId>();
    AeadKey key = AeadKey::random(random);
    SignKeys device = make_sign_keys(random);
    test::LogWriter log{circle, device, random};
    test::LogWriter founding{device, random};

    World() {
        for (int i = 0; i < 6; ++i) log.write_note(key, "seventy-three");
        log.write_note(AeadKey::random(random), "under another key", {log.tip_before(3).head});
        founding.write_note(key, "founds a circle");
        log.spoil_signature(2);
    }
};

void knock(ByteView input) {
    static const World world;
    const Result<Run> run = decode_run(input);
    if (!run) return demand_sentence(run.error().sentence());
    demand_same(input, encode_run(run.value()));
    const Run& r = run.value();
    demand(r.opening.has_value() == (r.first_seq == 0), "an opening stands exactly before event 0");
    const std::size_t known = world.log.events().size();
    const ChainTip tip = r.first_seq <= known ? world.log.tip_before(r.first_seq) : ChainTip{r.first_seq, {}, {}, {}};
    const auto checked = check_run(world.circle, r.opening.value_or(world.log.opening()), tip, r);
    if (!checked) return demand_sentence(checked.error().sentence());
    demand(!checked.value().empty() && checked.value().size() <= r.events.size(), "a run admits some of its events");
}

}  // namespace

Door door() {
    World world;
    Door out;
    out.knock = knock;
    out.seeds = {{"whole_log", encode_run(world.log.run())},
                 {"tail", encode_run(world.log.run(3, 4))},
                 {"one_event", encode_run(world.log.run(0, 1))},
                 {"founding", encode_run(world.founding.run())}};
    out.runs = 8000;
    return out;
}

}  // namespace ladderline::fuzz
