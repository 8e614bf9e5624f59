#include "protocol/handshake/noise_pattern.hpp"

#include <algorithm>
#include <array>

namespace ladderline::protocol {
namespace {

using enum NoiseToken;

struct BasePattern {
    std::string_view name;
    bool initiator_known;
    bool responder_known;
    bool one_way;
    std::vector<std::vector<NoiseToken>> messages;
};

const std::array<BasePattern, 7>& base_patterns() {
    static const std::array<BasePattern, 7> table{{
        {"N", false, true, true, {{e, es}}},
        {"X", false, true, true, {{e, es, s, ss}}},
        {"NN", false, false, false, {{e}, {e, ee}}},
        {"XX", false, false, false, {{e}, {e, ee, s, es}, {s, se}}},
        {"XK", false, true, false, {{e, es}, {e, ee}, {s, se}}},
        {"IK", false, true, false, {{e, es, s, ss}, {e, ee, se}}},
        {"KK", true, true, false, {{e, es, ss}, {e, ee, se}}},
    }};
    return table;
}

// pskN of section 9.4: at the front of message 1 for N = 0, else at the end of message N. False if there is none such.
bool apply_psk(NoisePattern& pattern, std::string_view modifier) {
    if (modifier.size() != 4 || !modifier.starts_with("psk") || modifier[3] < '0' || modifier[3] > '9') return false;
    const auto position = static_cast<std::size_t>(modifier[3] - '0');
    if (position > pattern.messages.size()) return false;
    if (position == 0) {
        pattern.messages.front().insert(pattern.messages.front().begin(), psk);
    } else {
        pattern.messages[position - 1].push_back(psk);
    }
    pattern.uses_psk = true;
    return true;
}

}  // namespace

std::optional<NoisePattern> noise_pattern(std::string_view name) {
    const std::size_t base_size = std::min(name.find("psk"), name.size());
    std::string_view modifiers = name.substr(base_size);
    for (const BasePattern& base : base_patterns()) {
        if (base.name != name.substr(0, base_size)) continue;
        NoisePattern out{std::string(name), base.initiator_known, base.responder_known, base.one_way, false,
                         base.messages};
        while (!modifiers.empty()) {
            const std::size_t end = std::min(modifiers.find('+'), modifiers.size());
            if (!apply_psk(out, modifiers.substr(0, end))) return std::nullopt;
            modifiers.remove_prefix(std::min(end + 1, modifiers.size()));
        }
        return out;
    }
    return std::nullopt;
}

}  // namespace ladderline::protocol
