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
          "7aba03c35246ada39b3639ac2df2f041c72fe5b04599f163fd84bdd385294637");
}

TEST_CASE("sync messages have these bytes") {
    const auto message = [](const SyncMessage& m) { return to_hex(encode_message(m)); };
    const std::string circle = "0102030405060708";
    const std::string tag = "010203040506";
    const std::string head = "a0a1a2a3a4a5";
    const std::string id = "404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f";
    const Root root = counted<Root>(0x40);
    const InstanceTag instance = counted<InstanceTag>(1);
    const LogPlace place{counted<LogTag>(1), 300, std::nullopt, counted<HeadTag>(0xA0)};
    const LogPlace forked{counted<LogTag>(1), 3, 5, counted<HeadTag>(0xA0)};
    CHECK(message(HelloMessage{instance, 300, {{counted<CircleTag>(1), root}}}) == "0101020304ac0201" + circle + id);
    CHECK(message(AnswerMessage{
              instance, 7, {HelloAnswer::unknown, HelloAnswer::equal, HelloAnswer::tree, HelloAnswer::cursor}}) ==
          "0201020304070400010203");
    CHECK(message(RunMessage{4, {{counted<LogTag>(1), {0xAA, 0xBB}}}}) == "030401" + tag + "02aabb");
    CHECK(message(NeedMessage{4, {{place}}, {2}, true}) == "04040100" + tag + "d804" + head + "010201");
    CHECK(message(NeedMessage{4, {{forked}}, {}, false}) == "04040100" + tag + "0705" + head + "0000");
    CHECK(message(NeedMessage{4, {{place, 300}}, {}, false}) == "040401ac02d804" + head + "0000");
    CHECK(message(DoneMessage{4, root, 300, 7}) == "0504" + id + "ac0207");
    CHECK(message(SameMessage{4, 1, 300}) == "060401ac02");
    CHECK(message(ByeMessage{}) == "07");
    CHECK(message(GrantMessage{counted<CircleId>(0x40), {1, 2}}) == "08" + id + "020102");
    CHECK(message(WelcomeMessage{std::nullopt, "no"}) == "0a00026e6f");
    const Bytes join = encode_message(JoinMessage{{}, "Ada", true, 300});
    CHECK(join.size() == 1 + 4 * 32 + 1 + 2 * 64 + 4 + 1 + 2);
    CHECK(join[0] == 9);
    TreeNode digests{34, false, {}, {}};
    digests.digests[0] = counted<NodeDigest>(1);
    CHECK(message(TreeMessage{4, {{33, true, {}, {place}}, digests}}) ==
          "0b0402210101" + tag + "d804" + head + "2200" + tag + std::string(std::size_t{31} * 12, '0'));
    CHECK(message(ChangesMessage{4, 300, {place}}) == "0c04ac0201" + tag + "d804" + head);
    CHECK(message(ProbeMessage{4, counted<LogTag>(1), {{7, counted<HeadTag>(0xA0)}}}) == "0d04" + tag + "0107" + head);
    CHECK(message(AgainMessage{4}) == "0f04");
    CHECK(message(AckMessage{300}) == "10ac02");
    const Bytes back = encode_message(ReturnMessage{});
    CHECK(back.size() == 1 + 4 * 32 + 1 + 2 * 64 + 64);
    CHECK(back[0] == 17);
    CHECK(message(ReturnedMessage{std::nullopt, "no"}) == "1200026e6f");
    ReturnedMessage::Back given;
    given.circles = {{counted<CircleId>(0x40), {1, 2}}};
    const Bytes returned = encode_message(ReturnedMessage{given, ""});
    CHECK(to_hex(returned).starts_with("120101" + id + "020102"));
    CHECK(returned.size() == 1 + 1 + 1 + 32 + 3 + 4 * 32 + 1 + 2 * 64 + 1);
}

TEST_CASE("the tags of a session have these bytes") {
    test::MemoryLog log;
    Session session(log, Session::Side::called, {counted<CircleId>(0)}, counted<Root>(0x40).view());
    REQUIRE(session.begin().has_value());
    const auto hello = decode_message(session.next_output().value());
    CHECK(to_hex(std::get<HelloMessage>(hello.value()).circles.at(0).tag.view()) == "0363e58035e349fa");
    const HeadTree tree(counted<TreeKey>(0x40), {{counted<LogId>(0x10), 3, counted<EventId>(0x80)}});
    CHECK(to_hex(tree.tag_of(counted<LogId>(0x10)).view()) == "63ceb12d4ab5");
    CHECK(to_hex(tree.place_of(tree.leaves().front()).head.view()) == "027bcf65205a");
    CHECK(to_hex(tree.digest(HeadTree::root).view()) == "c2e7cbbfabee");
}

TEST_CASE("a connection begins with these bytes") {
    CHECK(to_hex(write_preface({WirePattern::ik, {}})) == "4c4144444552010100000000000000000000000000000000");
}
