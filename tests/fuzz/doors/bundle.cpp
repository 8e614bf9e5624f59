// A bundle from a stick, a folder or a letter. Input: one byte, then, if it is even, a whole part as it lies in a file,
// fed in pieces of that size; if it is odd, the plain frames as pieces, which this side seals itself, because nobody
// but a member gets past the seal.

#include "protocol/sync/bundle.hpp"

#include "protocol/crypto/hash.hpp"
#include "tests/fuzz/engine/again.hpp"
#include "tests/fuzz/engine/pieces.hpp"
#include "tests/support/protocol/bundle_keys.hpp"
#include "tests/support/protocol/log_writer.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

struct World {
    test::SeededRandom random{71};
    CircleId circle = random.draw<CircleId>();
    AeadKey key = AeadKey::random(random);
    SignKeys device = make_sign_keys(random);
    DhKeys box = make_dh_keys(random);
    test::LogWriter log{circle, device, random};
    BundleHead head{circle, random.draw<BundleId>(), 1, DeviceId{device.pub.data}, std::nullopt, {}};

    World() {
        for (int i = 0; i < 5; ++i) log.write_note(key, "carried by hand");
    }
};

test::GivenKeys keys_of(const World& world) {
    test::GivenKeys out;
    out.epoch = world.key.clone();
    out.device = dh_keys_from_secret(world.box.secret.clone());
    return out;
}

Bytes whole_part(bool to_device) {
    World world;
    const BundleLock lock =
        to_device ? BundleLock::to_device(world.box.pub, world.random) : BundleLock::under(world.key, world.random);
    BundleWriter writer(lock, world.head);
    if (to_device) {
        const Bytes key = to_bytes(world.key.view());
        writer.add(BundleGrant{key, sign(grant_message(world.head, key, world.box.pub), world.device.secret)});
    }
    writer.add(BundleHolds{{LogHead{world.log.log(), 5, world.log.tip_before(5).head}}});
    writer.add_run(std::nullopt, encode_run(world.log.run(0, 3)));
    writer.add_run(world.log.tip_before(3).head, encode_run(world.log.run(3, 2)));
    return std::move(writer).finish(true);
}

// protocol/WIRE.md, section 9: the label of a part under the circle's key, then each frame with its length before it.
struct Sealer {
    explicit Sealer(const World& world)
        : label(to_bytes(ByteView(whole_part(false)).first(label_bytes))), stream([&] {
              AeadKey key;
              blake2b(key.mutable_view(), {as_bytes("ladderline bundle key 1")}, world.key.view());
              return SecretStream(key, StreamHeader::from(ByteView(label).subspan(label_bytes - StreamHeader::size)));
          }()) {}

    static constexpr std::size_t label_bytes = 9 + KeyId::size + StreamHeader::size;

    Bytes seal(const std::vector<Bytes>& frames) {
        Bytes out = label;
        for (std::size_t i = 0; i < frames.size(); ++i) {
            const Bytes sealed = stream.seal(label, frames[i], i + 1 == frames.size());
            for (std::size_t n = 0; n < 4; ++n) out.push_back(static_cast<std::uint8_t>(sealed.size() >> (8 * n)));
            out.insert(out.end(), sealed.begin(), sealed.end());
        }
        return out;
    }
    std::vector<Bytes> open(ByteView part) {
        std::vector<Bytes> out;
        for (part = part.subspan(label_bytes); part.size() >= 4;) {
            const std::size_t size = part[0] | static_cast<std::size_t>(part[1]) << 8;
            out.push_back(stream.open(label, part.subspan(4, size)).value().plain);
            part = part.subspan(4 + size);
        }
        return out;
    }

    Bytes label;
    SecretStream stream;
};

void read(const World& world, ByteView part, std::size_t piece) {
    test::GivenKeys keys = keys_of(world);
    BundleReader reader(keys);
    std::size_t frames = 0;
    while (true) {
        Result<std::optional<BundleFrame>> frame = reader.next();
        if (!frame) {
            demand_sentence(frame.error().sentence());
            demand(!reader.next() && !reader.finish(), "an error of a bundle is final");
            return;
        }
        if (frame.value()) {
            demand((frames++ == 0) == std::holds_alternative<BundleHead>(*frame.value()), "the head comes first");
        } else if (part.empty()) {
            break;
        } else {
            reader.feed(part.first(std::min(piece, part.size())));
            part = part.subspan(std::min(piece, part.size()));
        }
    }
    const Result<void> end = reader.finish();
    if (!end) demand_sentence(end.error().sentence());
}

void knock(ByteView input) {
    static const World world;
    if (input.empty()) return;
    const ByteView rest = input.subspan(1);
    const std::size_t piece = 1 + input[0] * 16;
    if (input[0] % 2 == 0) return read(world, rest, piece);
    std::vector<Bytes> frames = cut_pieces(rest);
    std::erase_if(frames, [](const Bytes& frame) { return frame.empty(); });
    read(world, Sealer(world).seal(frames), piece);
}

Bytes with_first(std::uint8_t first, const Bytes& rest) {
    Bytes out{first};
    out.insert(out.end(), rest.begin(), rest.end());
    return out;
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {{"for_the_circle", with_first(254, whole_part(false))},
                 {"for_a_device", with_first(0, whole_part(true))},
                 {"plain_frames", with_first(255, join_pieces(Sealer(World()).open(whole_part(false))))}};
    out.reshape = [](ByteView input, test::SeededRandom& random) {
        if (input.empty() || input[0] % 2 == 0) return nibbled(to_bytes(input), random);
        return with_first(input[0], reshape_pieces(input.subspan(1), random, nibbled));
    };
    out.words = {"LADDERB\x01\x01", "LADDERB\x01\x02"};
    out.runs = 6000;
    return out;
}

}  // namespace ladderline::fuzz
