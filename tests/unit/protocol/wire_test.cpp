// The wire form as fixed bytes. If a test here fails, programs that are out there can no longer talk to this one:
// change event_version or wire_version, never these values alone.

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "protocol/crypto/hash.hpp"
#include "protocol/event/bodies.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/handshake/preface.hpp"
#include "protocol/sync/session.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/memory_log.hpp"
#include "tests/support/protocol/person.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::LogWriter;

namespace {

template <class Fixed>
Fixed counted(std::uint8_t from) {
    Fixed out;
    for (std::uint8_t& b : out.data) b = from++;
    return out;
}

AeadKey example_key() {
    return AeadKey::copy_of(counted<Root>(0x40).view());
}

// Two notes of one device in a circle whose id is 00 01 .. 1f, on one control head.
LogWriter example_log(const SignKeys& device, Random& random) {
    LogWriter log(counted<CircleId>(0), device, random);
    const std::vector<EventId> ctl{counted<EventId>(0x80)};
    log.write(example_key(), {{{1'764'097'500'000}, 0}, kind::note, {}, codec::encode(NoteBody{"Hello"})}, ctl);
    log.write(example_key(), {{{1'764'097'500'000}, 1}, kind::touch, {}, codec::encode(TouchBody{Day{20'417}})}, ctl);
    return log;
}

// The first word of every line of the fenced block that follows `marker` in the document.
std::string block_after(const std::string& marker) {
    const auto path = std::filesystem::path(__FILE__).parent_path() / "../../../protocol/WIRE.md";
    std::ifstream file(path);
    REQUIRE_MESSAGE(file.good(), "protocol/WIRE.md stands beside the sources");
    std::string line;
    std::string out;
    while (std::getline(file, line) && line.find(marker) == std::string::npos) {
    }
    while (std::getline(file, line) && line != "```") {
    }
    while (std::getline(file, line) && line != "```") {
        std::string word;
        std::istringstream(line) >> word;
        out += word;
    }
    return out;
}

}  // namespace

TEST_CASE("the example run of the wire document is what this program writes") {
    test::SeededRandom random(1);
    const SignKeys device = sign_keys_from_seed(counted<Root>(0x20).view());
    const LogWriter log = example_log(device, random);
    CHECK(block_after("### Example run") == to_hex(encode_run(log.run())));
}

TEST_CASE("this program reads the example run of the wire document") {
    const auto run = decode_run(from_hex(block_after("### Example run")).value());
    REQUIRE(run.has_value());
    const auto checked = check_run(counted<CircleId>(0), *run.value().opening, {}, run.value());
    REQUIRE(checked.has_value());
    REQUIRE(checked.value().size() == 2);
    CHECK(to_hex(checked.value()[0].id.view()) == "ef5dc9777b4071fa979352673f682924972f1ab7efe1b810796d3b306d30d7c8");
    CHECK(to_hex(checked.value()[1].id.view()) == "340ecfe134d4d1f9c662b47b0a1e16463613531d5227b9ef7ef20dc737adcb57");
    const auto body = open_body(checked.value()[0].event.header, checked.value()[0].event.sealed, example_key());
    REQUIRE(body.has_value());
    CHECK(to_hex(codec::encode(body.value())) == "c08dbdc6d766003500060548656c6c6f");
    CHECK(read_payload<NoteBody>(body.value().payload)->text == "Hello");
}

TEST_CASE("a founding event gives its circle the same name everywhere") {
    test::SeededRandom random(2);
    const test::Person ada = test::make_person("Ada", random);
    LogWriter log(ada.device, random);
    const FoundBody found{CircleKind::club, "Field Day Club", MemberRole::officer, 4, "Ada", false, ada.certificate()};
    log.write(example_key(), {{{1'764'097'500'000}, 0}, kind::found, {}, codec::encode(found)});
    CHECK(to_hex(log.circle().view()) == "003332179471fa38342b453e8d554459a656642d02aae0777453f0b49b058261");
    CHECK(to_hex(log.log().view()) == "74c0669be6c500876ca1d3109508a98e");
    CHECK(to_hex(hash_as<Root>("test", {codec::encode(found)}).view()) ==
          "ef44e4801c001b19daef26fca5c3a4ec3a9691bb2f662e9fe7b61a127536b19a");
    CHECK(to_hex(id_of_key(example_key()).view()) == "31dc0bf2d2c7053c7ebc50808aa15592");
    CHECK(to_hex(root_of(log.circle(), {{log.log(), 1, EventId{log.circle().data}}}).view()) ==
          "b28a88b4b340af42c8f6314fa26bfe950229151f4e6d98b9e931920ffdb71f7d");
}

TEST_CASE("sync messages have these bytes") {
    const CircleTag tag = counted<CircleTag>(1);
    const auto message = [](const SyncMessage& m) { return to_hex(encode_message(m)); };
    const std::string tag_hex = "0102030405060708";
    const std::string log_hex = "101112131415161718191a1b1c1d1e1f";
    const std::string id_hex = "404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f";
    const LogId log = counted<LogId>(0x10);
    CHECK(message(HelloMessage{{{tag, counted<Root>(0x40)}}}) == "0101" + tag_hex + id_hex);
    CHECK(message(HeadsMessage{tag, {{log, 300, counted<EventId>(0x40)}}}) ==
          "02" + tag_hex + "01" + log_hex + "ac02" + id_hex);
    CHECK(message(RunMessage{tag, {0xAA, 0xBB}}) == "03" + tag_hex + "02aabb");
    CHECK(message(NeedMessage{tag, log, 7}) == "04" + tag_hex + log_hex + "07");
    CHECK(message(SentMessage{tag}) == "05" + tag_hex);
    CHECK(message(RootMessage{tag, counted<Root>(0x40)}) == "06" + tag_hex + id_hex);
    CHECK(message(ByeMessage{}) == "07");
    CHECK(message(GrantMessage{counted<CircleId>(0x40), {1, 2}}) == "08" + id_hex + "020102");
    CHECK(message(WelcomeMessage{std::nullopt, "no"}) == "0a00026e6f");
    const Bytes join = encode_message(JoinMessage{{}, "Ada", true, 300});
    CHECK(join.size() == 1 + 4 * 32 + 1 + 2 * 64 + 4 + 1 + 2);
    CHECK(join[0] == 9);
    const Bytes back = encode_message(ReturnMessage{});
    CHECK(back.size() == 1 + 4 * 32 + 1 + 2 * 64 + 64);
    CHECK(back[0] == 11);
    CHECK(message(ReturnedMessage{std::nullopt, "no"}) == "0c00026e6f");
    ReturnedMessage::Back given;
    given.circles = {{counted<CircleId>(0x40), {1, 2}}};
    const Bytes returned = encode_message(ReturnedMessage{given, ""});
    CHECK(to_hex(returned).starts_with("0c0101" + id_hex + "020102"));
    CHECK(returned.size() == 1 + 1 + 1 + 32 + 3 + 4 * 32 + 1 + 2 * 64 + 1);
}

TEST_CASE("a circle's tag in a connection has these bytes") {
    test::MemoryLog log;
    Session session(log, {counted<CircleId>(0)}, counted<Root>(0x40).view());
    const auto hello = decode_message(session.hello().value());
    CHECK(to_hex(std::get<HelloMessage>(hello.value()).circles.at(0).tag.view()) == "0363e58035e349fa");
}

TEST_CASE("a connection begins with these bytes") {
    CHECK(to_hex(write_preface({WirePattern::ik, {}})) == "4c4144444552010100000000000000000000000000000000");
}
