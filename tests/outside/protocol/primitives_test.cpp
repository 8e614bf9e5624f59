// Known answers for the wrappers of protocol/crypto; the publication stands beside each value. The values were typed
// from memory of those publications. Two were then compared elsewhere: the first key of RFC 7748, section 6.1, with
// Wycheproof (x25519, test 102, from RFC 8037, appendix A.6), and BLAKE2b-512 of abc with Python's hashlib.

#include <doctest/doctest.h>

#include "protocol/crypto/aead.hpp"
#include "protocol/crypto/hash.hpp"
#include "protocol/crypto/keys.hpp"
#include "protocol/crypto/passphrase.hpp"
#include "protocol/handshake/noise_hash.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::protocol;

Bytes hex(std::string_view text) {
    return from_hex(text).value();
}

constexpr std::string_view key_80_9f = "808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9f";
constexpr std::string_view sunscreen =
    "Ladies and Gentlemen of the class of '99: If I could offer you only one tip for the future, sunscreen would be "
    "it.";

TEST_CASE("ChaCha20-Poly1305 seals the draft notice as in RFC 8439, appendix A.5") {
    // The nonce there is 00000000 0102030405060708, which is Noise's form. (Section 2.8.2 has 07000000 in front, which
    // the wrapper cannot express.)
    const std::string_view text =
        "Internet-Drafts are draft documents valid for a maximum of six months and may be updated, replaced, or "
        "obsoleted "
        "by other documents at any time. It is inappropriate to use Internet-Drafts as reference material or to cite "
        "them "
        "other than as /\xe2\x80\x9cwork in progress./\xe2\x80\x9d";
    const Bytes key = hex("1c9240a5eb55d38af333888604f6b5f0473917c1402b80099dca5cbc207075c0");
    const Bytes sealed = noise_seal(key, 0x0807060504030201, hex("f33388860000000000004e91"), as_bytes(text));
    REQUIRE(sealed.size() == 265 + 16);
    CHECK(to_hex(ByteView(sealed).first(16)) == "64a0861575861af460f062c79be643bd");
    CHECK(to_hex(ByteView(sealed).last(16)) == "eead9d67890cbb22392336fea1851f38");
}

TEST_CASE("XChaCha20-Poly1305 seals the sunscreen sentence as in draft-irtf-cfrg-xchacha, appendix A.3") {
    const Bytes sealed =
        xseal(AeadKey::copy_of(hex(key_80_9f)), XNonce::from(hex("404142434445464748494a4b4c4d4e4f5051525354555657")),
              hex("50515253c0c1c2c3c4c5c6c7"), as_bytes(sunscreen));
    REQUIRE(sealed.size() == 114 + 16);
    CHECK(to_hex(ByteView(sealed).first(16)) == "bd6d179d3e83d43b9576579493c0e939");
    CHECK(to_hex(ByteView(sealed).last(16)) == "c0875924c1c7987947deafd8780acf49");
}

TEST_CASE("Ed25519 keys and signatures are those of RFC 8032, section 7.1, tests 1 to 3") {
    struct Row {
        std::string_view seed, pub, message, signature;
    };
    const Row rows[] = {
        {"9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
         "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
         "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bb"
         "e24655"
         "141438e7a100b"},
        {"4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
         "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
         "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302"
         "aeeb00"
         "d291612bb0c00"},
        {"c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
         "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
         "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed"
         "28dc02"
         "7beceea1ec40a"},
    };
    for (const Row& row : rows) {
        const SignKeys keys = sign_keys_from_seed(hex(row.seed));
        CHECK(to_hex(keys.pub.view()) == row.pub);
        CHECK(to_hex(sign(hex(row.message), keys.secret).view()) == row.signature);
        CHECK(verify(hex(row.message), Signature::from(hex(row.signature)), keys.pub));
    }
}

std::string x25519(std::string_view secret, std::string_view pub) {
    DhShared shared;
    CHECK(diffie_hellman(shared, DhSecret::copy_of(hex(secret)), DhPublic::from(hex(pub))));
    return to_hex(shared.view());
}

TEST_CASE("X25519 multiplies as in RFC 7748, section 5.2, vector 1") {
    CHECK(x25519("a546e36bf0527c9d3b16154b82465edd62144c0ac1fc5a18506a2244ba449ac4",
                 "e6db6867583030db3594c1a424b15f7c726624ec26b3353b10a903a6d0ab1c4c") ==
          "c3da55379de9c6908e94ea4df28d084f32eccf03491c71f754b4075577a28552");
}

TEST_CASE("X25519 iterated once and a thousand times is as in RFC 7748, section 5.2") {
    std::string k = "0900000000000000000000000000000000000000000000000000000000000000";
    std::string u = k;
    for (int i = 1; i <= 1000; ++i) {
        const std::string next = x25519(k, u);
        u = std::exchange(k, next);
        if (i == 1) CHECK(k == "422c8e7a6227d7bca1350b3e2bb7279f7897b87bb6854b783c60e80311ae3079");
    }
    CHECK(k == "684cf59ba83309552800ef566f2f4d3c1c3887c49360e3875f2eb94d99532c51");
}

TEST_CASE("the two sides of RFC 7748, section 6.1, find their published keys and secret") {
    const std::string_view alice = "77076d0a7318a57d3c16c17251b26645df4c2f87ebc0992ab177fba51db92c2a";
    const std::string_view bob = "5dab087e624a8a4b79e17f8b83800ee66f3bb1292618b6fd1c2f8b27ff88e0eb";
    const std::string alice_pub = to_hex(dh_keys_from_secret(DhSecret::copy_of(hex(alice))).pub.view());
    const std::string bob_pub = to_hex(dh_keys_from_secret(DhSecret::copy_of(hex(bob))).pub.view());
    CHECK(alice_pub == "8520f0098930a754748b7ddcb43ef75a0dbf3a0d26381af4eba4a98eaa9b4e6a");
    CHECK(bob_pub == "de9edb7d7b7dc1b4d35b61c2ece435373f8343c85b78674dadfc7e146f882b4f");
    const std::string_view shared = "4a5d9d5ba4ce2de1728e3bf480350f25e07e21c947d19e3376f09b3c1e161742";
    CHECK(x25519(alice, bob_pub) == shared);
    CHECK(x25519(bob, alice_pub) == shared);
}

TEST_CASE("BLAKE2b-512 of abc is as in RFC 7693, appendix A") {
    Bytes out(64);
    blake2b(out, {as_bytes("a"), as_bytes("bc")});
    CHECK(to_hex(out) ==
          "ba80a53f981c4d0d6a2797b69f12f6e94c212f14685ac4b74b12bb6fdbffa2d17d87c5392aab792dc252d5de4533cc9518d38aa8dbf1"
          "925ab92386edd4009923");
}

// The sequence of RFC 7693, appendix E, selftest_seq().
Bytes selftest_sequence(std::size_t size, std::uint32_t seed) {
    std::uint32_t a = 0xDEAD4BAD * seed;
    std::uint32_t b = 1;
    Bytes out;
    for (std::size_t i = 0; i < size; ++i) {
        const std::uint32_t t = a + b;
        a = b;
        b = t;
        out.push_back(static_cast<std::uint8_t>(t >> 24));
    }
    return out;
}

TEST_CASE("BLAKE2b, plain and keyed at many lengths, gives the grand hash of RFC 7693, appendix E") {
    Bytes all;
    for (const std::size_t out_size : {20U, 32U, 48U, 64U}) {
        for (const std::size_t in_size : {0U, 3U, 128U, 129U, 255U, 1024U}) {
            const Bytes input = selftest_sequence(in_size, static_cast<std::uint32_t>(in_size));
            const Bytes key = selftest_sequence(out_size, static_cast<std::uint32_t>(out_size));
            Bytes digest(out_size);
            blake2b(digest, {input});
            all.insert(all.end(), digest.begin(), digest.end());
            blake2b(digest, {input}, key);
            all.insert(all.end(), digest.begin(), digest.end());
        }
    }
    Bytes grand(32);
    blake2b(grand, {all});
    CHECK(to_hex(grand) == "c23a7800d98123bd10f506c61e29da5603d763b8bbad2e737f5e765a7bccd475");
}

TEST_CASE("SHA-256 of abc is as in FIPS 180-4's example") {
    CHECK(to_hex(sha256({as_bytes("abc")}).view()) ==
          "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

TEST_CASE("HMAC-SHA256 is as in RFC 4231, cases 1, 2 and 6") {
    CHECK(to_hex(hmac_sha256(Bytes(20, 0x0b), {as_bytes("Hi There")}).view()) ==
          "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7");
    CHECK(to_hex(hmac_sha256(as_bytes("Jefe"), {as_bytes("what do ya want "), as_bytes("for nothing?")}).view()) ==
          "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843");
    CHECK(to_hex(hmac_sha256(Bytes(131, 0xaa), {as_bytes("Test Using Larger Than Block-Size Key - Hash Key First")})
                     .view()) == "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54");
}

TEST_CASE("Noise's HKDF is RFC 5869 with empty info: appendix A.3") {
    const HkdfOutput out = noise_hkdf(NoiseHash::sha256, Bytes(32, 0), Bytes(22, 0x0b));
    CHECK(to_hex(out.first.view()) == "8da4e775a563c18f715f802a063c5a31b8a11f5c5ee1879ec3454e5f3c738d2d");
    CHECK(to_hex(out.second.view().first(10)) == "9d201395faa4b61a96c8");
}

TEST_CASE("Argon2id with one lane agrees with the reference program") {
    // RFC 9106's own Argon2id vector (section 5.3) has four lanes, a secret and associated data; libsodium has one lane
    // and neither of the others, so it cannot be expressed. These values are the output of the authors' reference
    // program (Debian package argon2): echo -n password | argon2 somesaltsomesalt -id -t T -k KIB -p 1 -l 32 -r
    struct Row {
        PassphraseCost cost;
        std::string_view key;
    };
    const Row rows[] = {
        {{3, 256}, "45712205ca8e0777e07eeb552e27165d3450b42ba9d9e646b9be536116b192cc"},
        {{1, 64}, "e793d64ef75d58f503d4631b2b149f7f80127c5f3993d89b1c9b781e51d0b413"},
        {{2, 65536}, "fc33b78139231d34b71626bd6245c1d72efa190ad605c3d8166a72adcedfa2c2"},
    };
    for (const Row& row : rows) {
        const auto key = key_from_passphrase(as_bytes("password"), Salt::from(as_bytes("somesaltsomesalt")), row.cost);
        REQUIRE(key.has_value());
        CHECK(to_hex(key.value().view()) == row.key);
    }
}

}  // namespace
}  // namespace ladderline::test
