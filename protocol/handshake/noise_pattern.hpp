#pragma once
// Handshake patterns as data: the token lists of Noise revision 34, sections 7.4, 7.5 and 9.4.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ladderline::protocol {

enum class NoiseToken : std::uint8_t { e, s, ee, es, se, ss, psk };

struct NoisePattern {
    std::string name;                               // "IK", "XXpsk0"
    bool initiator_known = false;                   // pre-message "-> s"
    bool responder_known = false;                   // pre-message "<- s"
    bool one_way = false;                           // every message is the initiator's
    bool uses_psk = false;                          // then every e token is mixed into the key as well (section 9.2)
    std::vector<std::vector<NoiseToken>> messages;  // the first is the initiator's, then they alternate
};

// One of N X NN XX XK IK KK with any psk modifiers ("XXpsk0", "IKpsk0+psk2"); nothing for a name not in the table.
std::optional<NoisePattern> noise_pattern(std::string_view name);

}  // namespace ladderline::protocol
