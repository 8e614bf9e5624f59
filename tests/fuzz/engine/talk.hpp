#pragma once
// Two honest sessions until neither has more to say.

#include "protocol/sync/session.hpp"
#include "tests/fuzz/engine/door.hpp"
#include "tests/support/protocol/memory_log.hpp"

namespace ladderline::fuzz {

inline constexpr std::size_t messages_max = 20'000;

// What the session has to say now.
inline std::vector<Bytes> all_said(protocol::Session& session) {
    std::vector<Bytes> out;
    while (auto message = session.next_output()) {
        out.push_back(std::move(*message));
        demand(out.size() <= messages_max, "a session comes to an end of what it says");
    }
    return out;
}

// What the second one said in all.
inline std::vector<Bytes> talk(protocol::Session& one, protocol::Session& other) {
    std::vector<Bytes> heard;
    for (std::size_t turn = 0;; ++turn) {
        demand(turn < 200, "two honest sessions come to rest");
        const std::vector<Bytes> a = all_said(one);
        for (const Bytes& message : a) demand(other.on_message(message).has_value(), "an honest message is taken");
        const std::vector<Bytes> b = all_said(other);
        for (const Bytes& message : b) demand(one.on_message(message).has_value(), "an honest answer is taken");
        heard.insert(heard.end(), b.begin(), b.end());
        if (a.empty() && b.empty()) return heard;
    }
}

}  // namespace ladderline::fuzz
