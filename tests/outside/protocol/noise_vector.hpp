#pragma once
// One published Noise test vector, and a run of both sides against it.

#include <string>
#include <vector>

#include "protocol/base/bytes.hpp"

namespace ladderline::test {

// Hexadecimal as published; empty where the pattern has no such thing.
struct NoiseVectorMessage {
    std::string payload;
    std::string ciphertext;
};

struct NoiseVector {
    std::string protocol_name;
    std::string init_prologue, init_static, init_ephemeral, init_remote_static;
    std::string resp_prologue, resp_static, resp_ephemeral, resp_remote_static;
    std::vector<std::string> init_psks, resp_psks;
    std::string handshake_hash;
    std::vector<NoiseVectorMessage> messages;
};

// Empty if every byte agrees: each message written by its sender, read by its receiver, and the handshake hash of both
// sides (where published); otherwise what differed first.
std::string run_noise_vector(const NoiseVector& vector);

}  // namespace ladderline::test
