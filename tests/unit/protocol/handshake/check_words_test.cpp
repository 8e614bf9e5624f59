#include "protocol/handshake/check_words.hpp"

#include <doctest/doctest.h>

#include <set>

#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::protocol;

template <class Fixed>
Fixed filled(std::uint8_t value) {
    Fixed out;
    out.data.fill(value);
    return out;
}

const auto hash_1 = filled<HandshakeHash>(1);
const auto nonce_i = filled<CheckNonce>(2);
const auto nonce_r = filled<CheckNonce>(3);

TEST_CASE("commitment and letters are those of a second computation") {
    // Python: hashlib.blake2b(b"sas-c" + b"\1"*32 + b"\3"*32, digest_size=32).hexdigest(), and the first eight bytes of
    // hashlib.blake2b(b"sas" + b"\1"*32 + b"\2"*32 + b"\3"*32, digest_size=32) as a little-endian number in base 26.
    CHECK(to_hex(check_commit(hash_1, nonce_r).view()) ==
          "5370f43bc4405f9940428d5ec4942f8699751a4f270affa0d86e945987c924d8");
    CHECK(check_letters(hash_1, nonce_i, nonce_r) == "CGYHFB");
}

TEST_CASE("an honest reveal is accepted") {
    CHECK(check_verify(hash_1, check_commit(hash_1, nonce_r), nonce_r).has_value());
}

TEST_CASE("a nonce other than the one committed to is refused, whichever byte differs") {
    const CheckCommitment commitment = check_commit(hash_1, nonce_r);
    for (std::size_t i = 0; i < CheckNonce::size; ++i) {
        CAPTURE(i);
        CheckNonce other = nonce_r;
        other.data[i] ^= 1;
        CHECK(check_verify(hash_1, commitment, other).error().fault() == Fault::peer);
    }
}

TEST_CASE("a commitment from another handshake is refused") {
    CHECK_FALSE(check_verify(filled<HandshakeHash>(9), check_commit(hash_1, nonce_r), nonce_r).has_value());
}

TEST_CASE("handshake and both nonces each decide the letters, and their roles differ") {
    const std::set<std::string> all{
        check_letters(hash_1, nonce_i, nonce_r), check_letters(filled<HandshakeHash>(9), nonce_i, nonce_r),
        check_letters(hash_1, filled<CheckNonce>(9), nonce_r), check_letters(hash_1, nonce_i, filled<CheckNonce>(9)),
        check_letters(hash_1, nonce_r, nonce_i)};
    CHECK(all.size() == 5);
}

TEST_CASE("over many handshakes each letter is about equally frequent in each of the six places") {
    // 26,000 strings, 1,000 of each letter expected in each place; standard deviation 31, so 200 is more than six of
    // them.
    SeededRandom random(5);
    std::array<std::array<int, 26>, check_letters_count> counts{};
    for (int i = 0; i < 26'000; ++i) {
        const std::string letters = check_letters(hash_1, random.draw<CheckNonce>(), nonce_r);
        REQUIRE(letters.size() == check_letters_count);
        for (std::size_t place = 0; place < letters.size(); ++place) {
            ++counts[place][static_cast<std::size_t>(letters[place] - 'A')];
        }
    }
    for (const auto& place : counts) {
        for (const int count : place) CHECK(std::abs(count - 1000) < 200);
    }
}

TEST_CASE("letters are spelled with the words of the ITU Radio Regulations, appendix 14") {
    CHECK(itu_spelling("ABCDEFGHIJKLM") ==
          "Alfa Bravo Charlie Delta Echo Foxtrot Golf Hotel India Juliett Kilo Lima Mike");
    CHECK(itu_spelling("NOPQRSTUVWXYZ") ==
          "November Oscar Papa Quebec Romeo Sierra Tango Uniform Victor Whiskey X-ray Yankee Zulu");
}

}  // namespace
}  // namespace ladderline::test
