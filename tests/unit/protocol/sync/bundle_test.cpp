#include "protocol/sync/bundle.hpp"

#include <doctest/doctest.h>

#include "protocol/crypto/hash.hpp"
#include "tests/support/protocol/bundle_keys.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/person.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using namespace ladderline::test;

namespace {

// One log of three notes, and the keys to it.
struct Carried {
    Carried() : ada(make_person("Ada Finch", random)), log(circle, ada.device, random) {
        keys.epoch.emplace(AeadKey::random(random));
        for (const char* text : {"one", "two", "three"}) log.write_note(*keys.epoch, text);
        head.circle = circle;
        head.bundle = random.draw<BundleId>();
        head.writer = ada.device_id();
    }

    BundleWriter writer() { return {BundleLock::under(*keys.epoch, random), head}; }

    // One part with the log in two runs.
    Bytes part(bool last = true) {
        BundleWriter out = writer();
        out.add(BundleHolds{{{log.log(), 3, log.tip_before(3).head}}});
        out.add_run(std::nullopt, encode_run(log.run(0, 2)));
        out.add_run(log.tip_before(2).head, encode_run(log.run(2, 1)));
        return std::move(out).finish(last);
    }

    SeededRandom random{5};
    CircleId circle = random.draw<CircleId>();
    Person ada;
    LogWriter log;
    GivenKeys keys;
    BundleHead head;
};

Result<void> read_bundle(ByteView part, BundleKeys& keys, const std::function<Result<void>(BundleFrame)>& take) {
    BundleSteps steps(part, keys);
    for (;;) {
        TRY(const bool more, steps.step(take));
        if (!more) return ok();
    }
}

struct Read {
    std::vector<BundleFrame> frames;
    std::optional<Error> error;
};

Read read(ByteView part, BundleKeys& keys) {
    Read out;
    const auto read = read_bundle(part, keys, [&](BundleFrame frame) -> Result<void> {
        out.frames.push_back(std::move(frame));
        return ok();
    });
    if (!read) out.error = read.error();
    return out;
}

bool is_one_sentence(const std::string& text) {
    return text.ends_with(".") && text.find('\n') == std::string::npos;
}

// Whether the frames are the first ones of the genuine part, none of them changed.
bool is_beginning_of(const Read& some, const Read& whole) {
    if (some.frames.size() > whole.frames.size()) return false;
    for (std::size_t i = 0; i < some.frames.size(); ++i) {
        if (some.frames[i].index() != whole.frames[i].index()) return false;
        const auto* a = std::get_if<BundleRun>(&some.frames[i]);
        const auto* b = std::get_if<BundleRun>(&whole.frames[i]);
        if (a != nullptr && encode_run(a->run) != encode_run(b->run)) return false;
    }
    return true;
}

// A frame that is genuine, and nothing that a writer of ours would write.
Bytes sealed_by_hand(Carried& c, const std::vector<Bytes>& frames, bool with_end = true) {
    const BundleLock lock = BundleLock::under(*c.keys.epoch, c.random);
    AeadKey key;
    blake2b(key.mutable_view(), {as_bytes("ladderline bundle key 1")}, lock.secret.view());
    SecretStream stream(key, lock.stream);
    Bytes label = to_bytes(as_bytes("LADDERB"));
    label.push_back(1);
    label.push_back(1);
    label.insert(label.end(), lock.key.data.begin(), lock.key.data.end());
    label.insert(label.end(), lock.stream.data.begin(), lock.stream.data.end());
    Bytes out = label;
    for (std::size_t i = 0; i < frames.size(); ++i) {
        const Bytes sealed = stream.seal(label, frames[i], with_end && i + 1 == frames.size());
        for (int shift = 0; shift < 32; shift += 8) out.push_back(static_cast<std::uint8_t>(sealed.size() >> shift));
        out.insert(out.end(), sealed.begin(), sealed.end());
    }
    return out;
}

Bytes frame(std::uint8_t type, const Bytes& fields) {
    Bytes out{type};
    out.insert(out.end(), fields.begin(), fields.end());
    return out;
}

}  // namespace

TEST_CASE("what was put into a part comes out of it") {
    Carried c;
    c.head.reader = c.ada.id();
    const Read got = read(c.part(), c.keys);
    REQUIRE_FALSE(got.error);
    REQUIRE(got.frames.size() == 5);
    CHECK(std::get<BundleHead>(got.frames[0]) == c.head);
    CHECK(std::get<BundleHolds>(got.frames[1]).heads.front().next_seq == 3);
    CHECK(encode_run(std::get<BundleRun>(got.frames[2]).run) == encode_run(c.log.run(0, 2)));
    CHECK(std::get<BundleRun>(got.frames[3]).before == c.log.tip_before(2).head);
    CHECK(std::get<BundleEnd>(got.frames[4]) == BundleEnd{true, 2});
}

TEST_CASE("a part that comes byte by byte reads as it does in one piece") {
    Carried c;
    const Bytes part = c.part();
    const Read whole = read(part, c.keys);
    BundleReader reader(c.keys);
    Read slow;
    for (const std::uint8_t byte : part) {
        reader.feed({&byte, 1});
        auto next = reader.next();
        REQUIRE(next.has_value());
        if (next.value()) slow.frames.push_back(std::move(*next.value()));
    }
    CHECK(reader.finish().has_value());
    CHECK(slow.frames.size() == whole.frames.size());
    CHECK(is_beginning_of(slow, whole));
}

TEST_CASE("a part that is cut at any byte says so in one sentence, and gives only whole frames") {
    Carried c;
    const Bytes part = c.part();
    const Read whole = read(part, c.keys);
    for (std::size_t size = 0; size < part.size(); ++size) {
        CAPTURE(size);
        const Read got = read(ByteView(part).first(size), c.keys);
        REQUIRE(got.error);
        CHECK(is_one_sentence(got.error->sentence()));
        CHECK(is_beginning_of(got, whole));
    }
}

TEST_CASE("a part with any bit changed says so in one sentence, and gives only frames before the change") {
    Carried c;
    const Bytes part = c.part();
    const Read whole = read(part, c.keys);
    for (std::size_t bit = 0; bit < part.size() * 8; ++bit) {
        CAPTURE(bit);
        Bytes changed = part;
        changed[bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
        const Read got = read(changed, c.keys);
        REQUIRE(got.error);
        CHECK(is_one_sentence(got.error->sentence()));
        CHECK(is_beginning_of(got, whole));
    }
}

TEST_CASE("bytes behind the end of a part are noticed") {
    Carried c;
    Bytes part = c.part();
    part.push_back(0);
    CHECK(read(part, c.keys).error.value().fault() == Fault::peer);
}

TEST_CASE("a part under a key that is not here says that the key is missing") {
    Carried c;
    const Bytes part = c.part();
    GivenKeys stranger;
    const Read got = read(part, stranger);
    CHECK(got.error.value().fault() == Fault::not_found);
    CHECK(got.frames.empty());
}

TEST_CASE("a file of another kind is no bundle") {
    Carried c;
    CHECK(read(as_bytes("Minutes of the meeting"), c.keys).error.value().fault() == Fault::bad_input);
    CHECK(read({}, c.keys).error.value().fault() == Fault::bad_input);
}

TEST_CASE("a bundle of a newer form is refused as that") {
    Carried c;
    Bytes part = c.part();
    part[7] = 2;
    CHECK(read(part, c.keys).error.value().fault() == Fault::unsupported);
}

TEST_CASE("a file that is larger than a part may be is refused before it is read") {
    Carried c;
    const Bytes large(limits::bundle_bytes_max + 1, 'L');
    CHECK(read(large, c.keys).error.value().sentence().find("larger") != std::string::npos);
}

TEST_CASE("a length that promises more than a frame may hold is not waited for") {
    Carried c;
    Bytes part = c.part();
    part.resize(8 + 1 + 16 + 24);
    part.insert(part.end(), {0xFF, 0xFF, 0xFF, 0x7F});
    BundleReader reader(c.keys);
    reader.feed(part);
    CHECK(reader.next().has_error());
}

TEST_CASE("genuine frames out of place, repeated or malformed are refused") {
    Carried c;
    const Bytes head = frame(1, codec::encode(c.head));
    const Bytes holds = frame(3, codec::encode(BundleHolds{}));
    Bytes run{0};
    const Bytes encoded = encode_run(c.log.run());
    run.insert(run.end(), encoded.begin(), encoded.end());
    const Bytes whole_run = frame(5, run);
    run[0] = 2;
    const Bytes odd_run = frame(5, run);
    const Bytes end = frame(6, codec::encode(BundleEnd{true, 1}));
    BundleHead unnumbered = c.head;
    unnumbered.part = 0;
    const LogHead twice{c.log.log(), 1, {}};
    REQUIRE_FALSE(read(sealed_by_hand(c, {head, holds, whole_run, end}), c.keys).error);
    const std::vector<std::vector<Bytes>> refused{
        {whole_run, end},
        {head, head, whole_run, end},
        {head, holds, holds, whole_run, end},
        {head, whole_run, holds, end},
        {head, frame(2, codec::encode(BundleGrant{Bytes(32), {}})), whole_run, end},
        {head, whole_run, whole_run, end},
        {head, odd_run, end},
        {head, frame(5, {0}), end},
        {head, frame(5, {}), end},
        {head, frame(7, {}), whole_run, end},
        {head, whole_run, end, end},
        {head, whole_run},
        {head, frame(3, codec::encode(BundleHolds{{twice, twice}})), whole_run, end},
        {frame(1, codec::encode(unnumbered)), whole_run, end},
        {frame(1, {1, 2, 3}), whole_run, end},
        {head, whole_run, frame(6, codec::encode(BundleEnd{true, 2}))},
    };
    for (std::size_t i = 0; i < refused.size(); ++i) {
        CAPTURE(i);
        CHECK(read(sealed_by_hand(c, refused[i]), c.keys).error.value().fault() == Fault::peer);
    }
}

TEST_CASE("a run says what it builds on exactly if it does not begin its log") {
    Carried c;
    for (const bool begins_log : {true, false}) {
        CAPTURE(begins_log);
        BundleWriter out = c.writer();
        const Bytes run = encode_run(begins_log ? c.log.run(0, 2) : c.log.run(2, 1));
        out.add_run(begins_log ? std::optional(EventId{}) : std::nullopt, run);
        CHECK(read(std::move(out).finish(true), c.keys).error.value().fault() == Fault::peer);
    }
}

TEST_CASE("a part that is sealed to a device opens there, with the circle's key, and nowhere else") {
    Carried c;
    GivenKeys max;
    max.device.emplace(make_dh_keys(c.random));
    BundleWriter out(BundleLock::to_device(max.device->pub, c.random), c.head);
    const Bytes key = to_bytes(c.keys.epoch->view());
    out.add(BundleGrant{key, sign(grant_message(c.head, key, max.device->pub), c.ada.device.secret)});
    out.add_run(std::nullopt, encode_run(c.log.run()));
    const Bytes part = std::move(out).finish(true);
    const Read got = read(part, max);
    REQUIRE_FALSE(got.error);
    CHECK(std::get<BundleGrant>(got.frames.at(1)).key == key);
    CHECK(read(part, c.keys).error.value().fault() == Fault::not_found);
}

TEST_CASE("a part that is sealed to a device must bring the key") {
    Carried c;
    GivenKeys max;
    max.device.emplace(make_dh_keys(c.random));
    BundleWriter out(BundleLock::to_device(max.device->pub, c.random), c.head);
    out.add_run(std::nullopt, encode_run(c.log.run()));
    CHECK(read(std::move(out).finish(true), max).error.value().fault() == Fault::peer);
}

TEST_CASE("a writer that fills a part to its bound makes a part that reads") {
    Carried c;
    LogWriter large(c.circle, c.ada.device, c.random);
    large.write(*c.keys.epoch, {{{1'700'000'000'000}, 0}, 53, {}, Bytes(60'000, 'x')});
    const Bytes run = encode_run(large.run());
    BundleWriter out = c.writer();
    while (out.has_room_for(run.size())) out.add_run(std::nullopt, run);
    CHECK(out.runs() == 83);
    const Bytes part = std::move(out).finish(false);
    CHECK(part.size() <= limits::bundle_bytes_max);
    CHECK(part.size() > limits::bundle_bytes_max - run.size() - 100);
    CHECK_FALSE(read(part, c.keys).error);
}

TEST_CASE("an error of the one who takes the frames ends the reading with that error") {
    Carried c;
    const Bytes part = c.part();
    int taken = 0;
    const auto outcome = read_bundle(part, c.keys, [&](const BundleFrame&) -> Result<void> {
        if (++taken == 3) return Error{Fault::disk, "The disk is full."};
        return ok();
    });
    CHECK(taken == 3);
    CHECK(outcome.error().fault() == Fault::disk);
}

TEST_CASE("a step gives the frames that are whole with the next 64 KiB of a part, and no more") {
    Carried c;
    LogWriter log(c.circle, c.ada.device, c.random);
    for (int i = 0; i < 4; ++i) {
        log.write(*c.keys.epoch, {{{1'700'000'000'000}, 0}, 53, {}, Bytes(40'000, 'x')});
    }
    BundleWriter out = c.writer();
    for (std::size_t i = 0; i < 4; ++i) {
        out.add_run(i == 0 ? std::nullopt : std::optional(log.tip_before(i).head), encode_run(log.run(i, 1)));
    }
    const Bytes part = std::move(out).finish(true);
    BundleSteps steps(part, c.keys);
    std::vector<int> runs;
    for (bool more = true; more;) {
        int here = 0;
        const auto step = steps.step([&](const BundleFrame& frame) -> Result<void> {
            here += std::holds_alternative<BundleRun>(frame) ? 1 : 0;
            return ok();
        });
        more = step.value();
        runs.push_back(here);
    }
    CHECK(runs == std::vector<int>{1, 2, 1});  // 160 kB and a little
}

TEST_CASE("two writings of the same news have two names") {
    Carried c;
    CHECK(name_of_bundle(c.part()) != name_of_bundle(c.part()));
}

// The hash stands for every byte; it was worked out a second time from the wire document alone, with another program.
TEST_CASE("a part made from fixed keys and randomness has these bytes") {
    SeededRandom random(1);
    const AeadKey key = AeadKey::copy_of(Bytes(32, 0x40));
    BundleHead head;
    head.circle.data.fill(0x11);
    head.writer.data.fill(0x22);
    BundleWriter writer(BundleLock::under(key, random), head);
    const Bytes part = std::move(writer).finish(true);
    CHECK(to_hex(ByteView(part).first(9)) ==
          "4c414444455242"
          "01"
          "01");
    CHECK(KeyId::from(ByteView(part).subspan(9, 16)) == id_of_key(key));
    CHECK(part.size() == 49 + (4 + 17 + 1 + 32 + 16 + 1 + 32 + 1 + 32) + (4 + 17 + 3));
    CHECK(to_hex(name_of_bundle(part).view()) == "7233629a2fd8c6181b148600d896852b");
}
