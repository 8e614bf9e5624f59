#include "protocol/crypto/paper_key.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

// Worked out beforehand with the BLAKE2b of Python's hashlib and base 32 over the alphabet that Crockford published
// (0-9, then A-Z without I, L, O, U), none of it by this project's code.
struct Vector {
    const char* seed;
    const char* text;
    const char* slot;
    const char* member;
    const char* box;
};
constexpr Vector vectors[] = {
    {"00000000000000000000000000000000", "00000-00000-00000-00000-00000-08VF7",
     "6dd548606e93100b0af05d05f032f68d63db7c8efc922f3ddb16d5be3e764228",
     "c0df9f3699ded8cdf16efb82a578afde6cd7216cfba84800e4cf4e2a425f5aba",
     "64117b075f009bd206130c0c70699766fc25d51ff7549da8d30723d219be4489"},
    {"000102030405060708090a0b0c0d0e0f", "000G4-0R40M-30E20-9185G-R38E1-WCE2P",
     "7feb0f32578504050bb86007d4973a82130aa5eb0fea94d07238e4c5c740a986",
     "84b8ca52f9bfc1745a20b02be05ba64f9abdb88023e9065411b507242d3713eb",
     "ccaea93e96f1186ac401d510bae7585e04ca44b14a43f0fc452e6932b5645d42"},
    {"fffffffffffffffffffffffffffffffe", "ZZZZZ-ZZZZZ-ZZZZZ-ZZZZZ-ZZZZZ-RMSH8",
     "dffe8bc492392aa4f2221ce80ee3a1b5dcecab714352df12c909f4920f938465",
     "3688e633b76c1949493d264234586916f728520c3a19800261ecefac8d7670cd",
     "f631c117a8fc61db7906dff09dde9ec7c19f9cb3f042b5e2bf12d8acb916e38a"},
    {"8f1d3c5a7b9e2046d8aa01fe33c794b6", "HWEKR-PKVKR-G4DP5-A07Z3-7HWMP-RHWTP",
     "a12ec16e324308aa37e196c8fb050bce476fb6ff38f5d5b7b47d9e80cf8e9d59",
     "5299f402a83d6bcb3a959ed103ea98e2ff065dd6b3e09fd640cae09f09219871",
     "a52a1b18161449a130840b60729c0cef9cdab5c92a0767abfaf40a63364fb4ef"},
};

PaperSeed seed_from(const char* hex) {
    return PaperSeed::copy_of(from_hex(hex).value());
}

std::string hex_of_key(std::string_view text) {
    const auto seed = read_paper_key(text);
    return seed ? to_hex(seed.value().view()) : seed.error().sentence();
}

std::string sentence_about(std::string_view text) {
    const auto seed = read_paper_key(text);
    REQUIRE_FALSE(seed.has_value());
    CHECK(seed.error().fault() == Fault::bad_input);
    return seed.error().sentence();
}

bool holds(const std::string& text, const std::string& part) {
    CAPTURE(text);
    return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("a paper key is written as the published alphabet and hash have it, and read back") {
    for (const Vector& v : vectors) {
        CAPTURE(v.seed);
        CHECK(to_paper_text(seed_from(v.seed)) == v.text);
        CHECK(hex_of_key(v.text) == v.seed);
    }
}

TEST_CASE("what follows from a paper key is keyed BLAKE2b under a text of its own") {
    for (const Vector& v : vectors) {
        CAPTURE(v.seed);
        const PaperSeed seed = seed_from(v.seed);
        CHECK(to_hex(paper_slot_secret(seed).view()) == v.slot);
        CHECK(to_hex(paper_member_seed(seed).view()) == v.member);
        CHECK(to_hex(paper_box_keys(seed).secret.view()) == v.box);
    }
}

TEST_CASE("a box for the paper's box key opens with the paper") {
    test::SeededRandom random{3};
    const PaperSeed seed = PaperSeed::random(random);
    const Bytes box = seal_box(as_bytes("an epoch key"), paper_box_keys(seed).pub, random);
    const auto opened = open_box(box, paper_box_keys(seed));
    REQUIRE(opened.has_value());
    CHECK(as_text(opened.value().view()) == "an epoch key");
}

TEST_CASE("a paper key is read however it was typed") {
    for (const char* typed : {
             "hwekr pkvkr g4dp5 a07z3 7hwmp rhwtp",
             "HWEKRPKVKRG4DP5A07Z37HWMPRHWTP",
             "  hwekr-PKVKR\n g4dp5-aO7z3\t7hwmp - rhwtp\r\n",
             "H WEK RPK VKR G4DP5 Ao7Z3 7HWMP RHWTP",
         }) {
        CAPTURE(typed);
        CHECK(hex_of_key(typed) == "8f1d3c5a7b9e2046d8aa01fe33c794b6");
    }
    CHECK(hex_of_key("OOO G4 or4om 3oe2o 9I85G r38el wce2p") == "000102030405060708090a0b0c0d0e0f");
}

TEST_CASE("one wrong character is noticed wherever it stands, and its group is named") {
    const std::string key = "HWEKR-PKVKR-G4DP5-A07Z3-7HWMP-RHWTP";
    for (std::size_t i = 0; i < key.size(); ++i) {
        if (key[i] == '-') continue;
        std::string typed = key;
        typed[i] = key[i] == 'Q' ? '3' : 'Q';
        CAPTURE(typed);
        CHECK(holds(sentence_about(typed), "group " + std::to_string(i / 6 + 1)));
    }
}

TEST_CASE("two neighbours swapped are noticed, and their group is named") {
    CHECK(holds(sentence_about("HWEKR-PKVKR-4GDP5-A07Z3-7HWMP-RHWTP"), "group 3"));
    CHECK(holds(sentence_about("HWEKR-PKVKR-G4DP5-A07Z3-7HWPM-RHWTP"), "group 5"));
}

TEST_CASE("a group of the wrong length is named") {
    CHECK(holds(sentence_about("HWEKR-PKVKR-G4DP5-A07Z-7HWMP-RHWTP"), "group 4 has 4"));
    CHECK(holds(sentence_about("HWEKR-PKVKRR-G4DP5-A07Z3-7HWMP-RHWTP"), "group 2 has 6"));
}

TEST_CASE("a character that no paper key has is placed in its group") {
    CHECK(holds(sentence_about("HWEKR-PKVKR-G4DP5-AU7Z3-7HWMP-RHWTP"), "group 4"));
    CHECK(holds(sentence_about("HWEKR-PKVKR-G4DP5-A07Z3-7HWM?-RHWTP"), "group 5"));
}

TEST_CASE("anything else gets one sentence and names no group") {
    for (const std::string& typed : {std::string(), std::string("HWEKR"), std::string("\0\xFF", 2),
                                     std::string("ZWEKR-PKVKR-G4DP5-A07Z3-7HWMP-RHWTA"), std::string(100'000, 'Q'),
                                     std::string("LADDER-0000-1111")}) {
        const std::string sentence = sentence_about(typed);
        CHECK_FALSE(holds(sentence, "in group"));
        CHECK(holds(sentence, "nothing was opened"));
    }
}

TEST_CASE("a group is brought to its written form alone") {
    CHECK(tidy_paper_group(" oi-lab ") == "011AB");
}
