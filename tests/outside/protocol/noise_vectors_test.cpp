// Noise against published vectors.
// Three are typed in: IK, XX and NNpsk0 with SHA256 from the cacophony test vectors (haskell-cryptography/cacophony,
// vectors/cacophony.txt; public domain). The whole set of 34 (26 of cacophony, 8 of snow, tests/vectors/snow.txt) is
// read from $LADDERLINE_CHECK_DATA/vectors/noise.json.

#include <doctest/doctest.h>

#include "tests/outside/protocol/noise_vector.hpp"
#include "tests/outside/protocol/vector_file.hpp"

namespace ladderline::test {
namespace {

NoiseVector ik() {
    NoiseVector v;
    v.protocol_name = "Noise_IK_25519_ChaChaPoly_SHA256";
    v.init_prologue = "4a6f686e2047616c74";
    v.init_static = "e61ef9919cde45dd5f82166404bd08e38bceb5dfdfded0a34c8df7ed542214d1";
    v.init_ephemeral = "893e28b9dc6ca8d611ab664754b8ceb7bac5117349a4439a6b0569da977c464a";
    v.init_remote_static = "31e0303fd6418d2f8c0e78b91f22e8caed0fbe48656dcf4767e4834f701b8f62";
    v.resp_prologue = "4a6f686e2047616c74";
    v.resp_static = "4a3acbfdb163dec651dfa3194dece676d437029c62a408b4c5ea9114246e4893";
    v.resp_ephemeral = "bbdb4cdbd309f1a1f2e1456967fe288cadd6f712d65dc7b7793d5e63da6b375b";
    v.handshake_hash = "0b0f68fb0c27e03ce9b97565995ed4838cc0581b762ef72b062f6a546419fad7";
    v.messages = {
        {"4c756477696720766f6e204d69736573",
         "ca35def5ae56cec33dc2036731ab14896bc4c75dbb07a61f879f8e3afa4c7944718da798efbcd91528520204f904b9bd"
         "6c7413dccdc214d951e15253e39987f18146e8cd0873654207148333479d4d16c289f0294b29960a72f48e0b7bba2e89"
         "083169825e59642148d492020664ccf7"},
        {"4d757272617920526f746862617264",
         "95ebc60d2b1fa672c1f46a8aa265ef51bfe38e7ccb39ec5be34069f1448088435361e70b2ed446e6c9ec387d1d6b3b84"
         "0f194e373979d241b203c4acafccf5"},
        {"462e20412e20486179656b", "050e9f3c8fac16b68dbce8f8c4bfbf6617c897f9ada4aa29aa19c8"},
        {"4361726c204d656e676572", "344233a6cabb7141d80f3da2fedc311d9646bbb0f505afe403a667"},
        {"4a65616e2d426170746973746520536179", "62cdeeb172ad7ade7aa7d9e069da5790f12331bfa00177787a1d0810c67dc3b2b4"},
        {"457567656e2042f6686d20766f6e2042617765726b",
         "029bead1b40992327044d409d9a1f3ad8f36c3c452775d557e18bbeb2e8dfcead32d514024"},
    };
    return v;
}

NoiseVector xx() {
    NoiseVector v;
    v.protocol_name = "Noise_XX_25519_ChaChaPoly_SHA256";
    v.init_prologue = "4a6f686e2047616c74";
    v.init_static = "e61ef9919cde45dd5f82166404bd08e38bceb5dfdfded0a34c8df7ed542214d1";
    v.init_ephemeral = "893e28b9dc6ca8d611ab664754b8ceb7bac5117349a4439a6b0569da977c464a";
    v.resp_prologue = "4a6f686e2047616c74";
    v.resp_static = "4a3acbfdb163dec651dfa3194dece676d437029c62a408b4c5ea9114246e4893";
    v.resp_ephemeral = "bbdb4cdbd309f1a1f2e1456967fe288cadd6f712d65dc7b7793d5e63da6b375b";
    v.handshake_hash = "c8e5f64e846193be2a834104c2a009868d6c9f3bd3c186299888b488b2f1f58e";
    v.messages = {
        {"4c756477696720766f6e204d69736573",
         "ca35def5ae56cec33dc2036731ab14896bc4c75dbb07a61f879f8e3afa4c79444c756477696720766f6e204d69736573"},
        {"4d757272617920526f746862617264",
         "95ebc60d2b1fa672c1f46a8aa265ef51bfe38e7ccb39ec5be34069f14480884381cbad1f276e038c48378ffce2b65285"
         "e08d6b68aaa3629a5a8639392490e5b9bd5269c2f1e4f488ed8831161f19b7815528f8982ffe09be9b5c412f8a0db50f"
         "8814c7194e83f23dbd8d162c9326ad"},
        {"462e20412e20486179656b",
         "c7195ffacac1307ff99046f219750fc47693e23c3cb08b89c2af808b444850a80ae475b9df0f169ae80a89be0865b57f"
         "58c9fea0d4ec82a286427402f113e4b6ae769a1d95941d49b25030"},
        {"4361726c204d656e676572", "96763ed773f8e47bb3712f0e29b3060ffc956ffc146cee53d5e1df"},
        {"4a65616e2d426170746973746520536179", "3e40f15f6f3a46ae446b253bf8b1d9ffb6ed9b174d272328ff91a7e2e5c79c07f5"},
        {"457567656e2042f6686d20766f6e2042617765726b",
         "eb3f3515110702e047a6c9da4478b6ead94873c11c0f2d710ddb3f09fce024b3a58502ae3f"},
    };
    return v;
}

NoiseVector nnpsk0() {
    NoiseVector v;
    v.protocol_name = "Noise_NNpsk0_25519_ChaChaPoly_SHA256";
    v.init_prologue = "4a6f686e2047616c74";
    v.init_ephemeral = "893e28b9dc6ca8d611ab664754b8ceb7bac5117349a4439a6b0569da977c464a";
    v.resp_prologue = "4a6f686e2047616c74";
    v.resp_ephemeral = "bbdb4cdbd309f1a1f2e1456967fe288cadd6f712d65dc7b7793d5e63da6b375b";
    v.init_psks = {"54686973206973206d7920417573747269616e20706572737065637469766521"};
    v.resp_psks = {"54686973206973206d7920417573747269616e20706572737065637469766521"};
    v.handshake_hash = "f4d03dc34495c95729ea6de9e1b59004b59733102488b3e24bc441e0be208eaf";
    v.messages = {
        {"4c756477696720766f6e204d69736573",
         "ca35def5ae56cec33dc2036731ab14896bc4c75dbb07a61f879f8e3afa4c794479b962b8aff8485742ac32f905ba4536"
         "9e2465fb59e138a93d67a0d1266b6a54"},
        {"4d757272617920526f746862617264",
         "95ebc60d2b1fa672c1f46a8aa265ef51bfe38e7ccb39ec5be34069f144808843d6062704d5a9c422a8e834423f8c1fea"
         "da7e8d0d910a1a2cd030fb584221e3"},
        {"462e20412e20486179656b", "e632c3763d7669067383433197a3baddf146e9e70ad4b4e9e59e0f"},
        {"4361726c204d656e676572", "64c6bee32ea91c8474bb4c21d7a700109ad45af77b29764ba5eb1e"},
        {"4a65616e2d426170746973746520536179", "e2fa0bed0603b62d3ccac2ecabbf3fe33f3e86514909b323361626266cb2471cc8"},
        {"457567656e2042f6686d20766f6e2042617765726b",
         "0c01dc9cec1fe4ddd692e8dd32188aa351088dc91183639a53b57aa4692b5ebdef8b8ca111"},
    };
    return v;
}

NoiseVector from_json(const nlohmann::json& json) {
    NoiseVector v;
    v.protocol_name = json.at("protocol_name");
    v.init_prologue = json.value("init_prologue", "");
    v.init_static = json.value("init_static", "");
    v.init_ephemeral = json.value("init_ephemeral", "");
    v.init_remote_static = json.value("init_remote_static", "");
    v.resp_prologue = json.value("resp_prologue", "");
    v.resp_static = json.value("resp_static", "");
    v.resp_ephemeral = json.value("resp_ephemeral", "");
    v.resp_remote_static = json.value("resp_remote_static", "");
    v.init_psks = json.value("init_psks", std::vector<std::string>{});
    v.resp_psks = json.value("resp_psks", std::vector<std::string>{});
    v.handshake_hash = json.value("handshake_hash", "");
    for (const auto& message : json.at("messages"))
        v.messages.push_back({message.at("payload"), message.at("ciphertext")});
    return v;
}

TEST_CASE("IK with SHA256 agrees byte for byte with the cacophony vector") {
    CHECK(run_noise_vector(ik()) == "");
}

TEST_CASE("XX with SHA256 agrees byte for byte with the cacophony vector") {
    CHECK(run_noise_vector(xx()) == "");
}

TEST_CASE("NNpsk0 with SHA256 agrees byte for byte with the cacophony vector") {
    CHECK(run_noise_vector(nnpsk0()) == "");
}

TEST_CASE("a vector with one wrong digit is noticed") {
    NoiseVector wrong = ik();
    char& digit = wrong.messages.back().ciphertext.back();
    digit = digit == '0' ? '1' : '0';
    CHECK(run_noise_vector(wrong) == "message 6: not as published");
}

TEST_CASE("all 34 published Noise vectors agree byte for byte") {
    const auto file = vector_file("noise.json");
    if (!file) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set: the full set of Noise vectors was not run");
        return;
    }
    std::size_t passed = 0;
    for (const auto& json : file->at("vectors")) {
        const NoiseVector vector = from_json(json);
        CAPTURE(vector.protocol_name);
        const std::string difference = run_noise_vector(vector);
        CHECK(difference == "");
        if (difference.empty()) ++passed;
    }
    CHECK(passed == 34);
}

}  // namespace
}  // namespace ladderline::test
