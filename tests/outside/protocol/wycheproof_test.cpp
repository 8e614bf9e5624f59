// The Wycheproof vectors (C2SP/wycheproof, testvectors_v1; Apache-2.0) against protocol/crypto, read from
// $LADDERLINE_CHECK_DATA/vectors. Expected counts are those of the files at commit dac1dd4.

#include <doctest/doctest.h>
#include <sodium.h>

#include "protocol/crypto/aead.hpp"
#include "protocol/crypto/keys.hpp"
#include "tests/outside/protocol/vector_file.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::protocol;

Bytes hex_of(const nlohmann::json& test, const char* member) {
    return from_hex(test.at(member).get<std::string>()).value();
}

bool says_valid(const nlohmann::json& test) {
    return test.at("result") == "valid";
}

// Calls each(group, test) for every test of the file; false, with a word about it, if there is no file to read.
template <class Each>
bool for_each_test(const char* name, Each each) {
    const auto file = vector_file(name);
    if (!file) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set: not run: ", name);
        return false;
    }
    for (const auto& group : file->at("testGroups")) {
        for (const auto& test : group.at("tests")) {
            const int id = test.at("tcId");
            CAPTURE(id);
            each(group, test);
        }
    }
    return true;
}

// A nonce of 12 bytes that noise_open can express: four zero bytes, then the counter.
bool is_noise_nonce(const Bytes& nonce) {
    return std::all_of(nonce.begin(), nonce.begin() + 4, [](std::uint8_t b) { return b == 0; });
}

std::uint64_t counter_of(const Bytes& nonce) {
    std::uint64_t counter = 0;
    for (std::size_t i = 8; i-- > 0;) counter = counter << 8 | nonce[4 + i];
    return counter;
}

Bytes sealed_of(const nlohmann::json& test) {
    Bytes sealed = hex_of(test, "ct");
    const Bytes tag = hex_of(test, "tag");
    sealed.insert(sealed.end(), tag.begin(), tag.end());
    return sealed;
}

TEST_CASE("Ed25519 verification accepts and refuses all 151 Wycheproof signatures as it should") {
    int right = 0;
    const bool ran = for_each_test("wycheproof_ed25519_test.json", [&](const auto& group, const auto& test) {
        const SignPublic pub =
            SignPublic::from(from_hex(group.at("publicKey").at("pk").template get<std::string>()).value());
        const Bytes signature = hex_of(test, "sig");
        const bool accepted =
            signature.size() == Signature::size && verify(hex_of(test, "msg"), Signature::from(signature), pub);
        CHECK(accepted == says_valid(test));
        right += accepted == says_valid(test);
    });
    if (ran) CHECK(right == 151);
}

TEST_CASE("X25519 gives all 264 valid Wycheproof secrets and refuses the 31 that are all zero") {
    int valid_right = 0;
    int acceptable_right = 0;
    int refused = 0;
    const bool ran = for_each_test("wycheproof_x25519_test.json", [&](const auto&, const auto& test) {
        const DhSecret secret = DhSecret::copy_of(hex_of(test, "private"));
        DhShared shared;
        const Bytes expected = hex_of(test, "shared");
        if (!diffie_hellman(shared, secret, DhPublic::from(hex_of(test, "public")))) {
            CHECK(to_hex(expected) == std::string(64, '0'));
            ++refused;
            return;
        }
        CHECK(to_hex(shared.view()) == to_hex(expected));
        ++(says_valid(test) ? valid_right : acceptable_right);
    });
    if (!ran) return;
    CHECK(valid_right == 264);
    CHECK(acceptable_right == 223);
    CHECK(refused == 31);
}

TEST_CASE("ChaCha20-Poly1305 agrees with all 316 Wycheproof vectors that have a nonce of 12 bytes") {
    // The wrapper takes a Noise counter, so only nonces that start with four zero bytes reach it; the others are put to
    // the library underneath.
    int library_right = 0;
    int wrapper_right = 0;
    int other_nonce_size = 0;
    const bool ran = for_each_test("wycheproof_chacha20_poly1305_test.json", [&](const auto&, const auto& test) {
        const Bytes nonce = hex_of(test, "iv");
        if (nonce.size() != 12) {
            ++other_nonce_size;
            return;
        }
        const Bytes key = hex_of(test, "key");
        const Bytes aad = hex_of(test, "aad");
        const Bytes sealed = sealed_of(test);
        Bytes plain(sealed.size() - aead_tag_bytes);
        const bool opened =
            crypto_aead_chacha20poly1305_ietf_decrypt(plain.data(), nullptr, nullptr, sealed.data(), sealed.size(),
                                                      aad.data(), aad.size(), nonce.data(), key.data()) == 0;
        CHECK(opened == says_valid(test));
        if (opened) CHECK(plain == hex_of(test, "msg"));
        library_right += opened == says_valid(test);
        if (!is_noise_nonce(nonce)) return;
        const auto by_wrapper = noise_open(key, counter_of(nonce), aad, sealed);
        CHECK(by_wrapper.has_value() == says_valid(test));
        if (by_wrapper) {
            CHECK(by_wrapper.value() == hex_of(test, "msg"));
            CHECK(noise_seal(key, counter_of(nonce), aad, by_wrapper.value()) == sealed);
        }
        wrapper_right += by_wrapper.has_value() == says_valid(test);
    });
    if (!ran) return;
    CHECK(library_right == 316);
    CHECK(wrapper_right == 10);
    CHECK(other_nonce_size == 9);
}

TEST_CASE("XChaCha20-Poly1305 agrees with all 306 Wycheproof vectors that have a nonce of 24 bytes") {
    int right = 0;
    int other_nonce_size = 0;
    const bool ran = for_each_test("wycheproof_xchacha20_poly1305_test.json", [&](const auto&, const auto& test) {
        const Bytes nonce = hex_of(test, "iv");
        if (nonce.size() != XNonce::size) {
            ++other_nonce_size;
            return;
        }
        const AeadKey key = AeadKey::copy_of(hex_of(test, "key"));
        const Bytes aad = hex_of(test, "aad");
        const auto plain = xopen(key, XNonce::from(nonce), aad, sealed_of(test));
        CHECK(plain.has_value() == says_valid(test));
        if (plain) {
            CHECK(plain.value() == hex_of(test, "msg"));
            CHECK(xseal(key, XNonce::from(nonce), aad, plain.value()) == sealed_of(test));
        }
        right += plain.has_value() == says_valid(test);
    });
    if (!ran) return;
    CHECK(right == 306);
    CHECK(other_nonce_size == 9);
}

}  // namespace
}  // namespace ladderline::test
