#include "tests/outside/protocol/noise_vector.hpp"

#include "protocol/handshake/noise.hpp"
#include "tests/support/protocol/given_random.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::protocol;

Bytes hex(const std::string& text) {
    auto bytes = from_hex(text);
    ENSURE(bytes.has_value());
    return bytes.value();
}

struct Name {
    std::string pattern;
    NoiseHash hash;
};

// "Noise_XXpsk3_25519_ChaChaPoly_SHA256"; nothing for another suite.
std::optional<Name> split_name(const std::string& name) {
    static const std::string prefix = "Noise_";
    const std::size_t end = name.find("_25519_ChaChaPoly_");
    if (!name.starts_with(prefix) || end == std::string::npos) return std::nullopt;
    const std::string pattern = name.substr(prefix.size(), end - prefix.size());
    if (name.ends_with("_SHA256")) return Name{pattern, NoiseHash::sha256};
    if (name.ends_with("_BLAKE2b")) return Name{pattern, NoiseHash::blake2b};
    return std::nullopt;
}

NoiseSetup setup_for(const NoiseVector& vector, const Name& name, Role role) {
    const bool initiator = role == Role::initiator;
    NoiseSetup out;
    out.pattern = noise_pattern(name.pattern).value();
    out.hash = name.hash;
    out.role = role;
    out.prologue = hex(initiator ? vector.init_prologue : vector.resp_prologue);
    const std::string& own = initiator ? vector.init_static : vector.resp_static;
    const std::string& peer = initiator ? vector.init_remote_static : vector.resp_remote_static;
    if (!own.empty()) out.local_static = dh_keys_from_secret(DhSecret::copy_of(hex(own)));
    if (!peer.empty()) out.remote_static = DhPublic::from(hex(peer));
    for (const std::string& psk : initiator ? vector.init_psks : vector.resp_psks) {
        out.psks.push_back(Psk::copy_of(hex(psk)));
    }
    return out;
}

std::string differs(std::size_t message, const char* what) {
    return "message " + std::to_string(message + 1) + ": " + what;
}

}  // namespace

std::string run_noise_vector(const NoiseVector& vector) {
    const auto name = split_name(vector.protocol_name);
    if (!name || !noise_pattern(name->pattern)) return "unknown protocol name " + vector.protocol_name;
    GivenRandom init_random(hex(vector.init_ephemeral));
    GivenRandom resp_random(hex(vector.resp_ephemeral));
    NoiseHandshake init(setup_for(vector, *name, Role::initiator), init_random);
    NoiseHandshake resp(setup_for(vector, *name, Role::responder), resp_random);

    std::size_t i = 0;
    for (; !init.finished(); ++i) {
        if (i == vector.messages.size()) return "the vector ends inside the handshake";
        NoiseHandshake& from = init.my_turn() ? init : resp;
        NoiseHandshake& to = init.my_turn() ? resp : init;
        const auto written = from.write_message(hex(vector.messages[i].payload));
        if (!written || to_hex(written.value()) != vector.messages[i].ciphertext) return differs(i, "not as published");
        const auto read = to.read_message(written.value());
        if (!read || to_hex(read.value()) != vector.messages[i].payload) return differs(i, "does not read back");
    }
    if (!resp.finished() || init.handshake_hash() != resp.handshake_hash()) return "the two sides differ at the end";
    const std::string hash = to_hex(init.handshake_hash());
    if (!vector.handshake_hash.empty() && hash != vector.handshake_hash) return "handshake hash not as published";

    const bool one_way = noise_pattern(name->pattern)->one_way;
    TransportCiphers init_ciphers = init.split();
    TransportCiphers resp_ciphers = resp.split();
    for (; i < vector.messages.size(); ++i) {
        const bool initiators = one_way || i % 2 == 0;
        CipherState& from = initiators ? init_ciphers.send : resp_ciphers.send;
        CipherState& to = initiators ? resp_ciphers.receive : init_ciphers.receive;
        const auto written = from.encrypt({}, hex(vector.messages[i].payload));
        if (!written || to_hex(written.value()) != vector.messages[i].ciphertext) return differs(i, "not as published");
        const auto read = to.decrypt({}, written.value());
        if (!read || to_hex(read.value()) != vector.messages[i].payload) return differs(i, "does not read back");
    }
    return {};
}

}  // namespace ladderline::test
