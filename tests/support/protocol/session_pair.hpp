#pragma once
// Two sessions over memory logs, pumped against one another. Messages arrive whole and in order within a direction;
// the two directions interleave as a seed decides.

#include <doctest/doctest.h>

#include <deque>
#include <memory>

#include "protocol/sync/session.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/memory_log.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {

using namespace protocol;

struct SyncWorld {
    explicit SyncWorld(std::uint64_t seed = 51) : random(seed) {}

    SeededRandom random;
    CircleId circle = random.draw<CircleId>();
    AeadKey key = AeadKey::random(random);
    Bytes binding = to_bytes(random.draw<Root>().view());
    std::vector<std::unique_ptr<SignKeys>> devices;

    LogWriter log() {
        devices.push_back(std::make_unique<SignKeys>(make_sign_keys(random)));
        return {circle, *devices.back(), random};
    }
    LogWriter log(std::size_t events, std::string_view text = "hello") {
        LogWriter out = log();
        for (std::size_t i = 0; i < events; ++i) out.write_note(key, text);
        return out;
    }
};

inline void give(MemoryLog& to, const LogWriter& log, std::size_t first, std::size_t count) {
    REQUIRE(to.append_run(log.circle(), log.run(first, count)).value() == Appended::stored);
}
inline void give(MemoryLog& to, const LogWriter& log) {
    give(to, log, 0, log.events().size());
}

inline Root root_at(MemoryLog& log, const CircleId& circle) {
    return root_of(circle, log.heads(circle).value());
}

// One direction of the wire: what was sent and has not arrived.
struct SessionSide {
    Session session;
    std::deque<Bytes> to_peer;
    std::size_t messages = 0;  // sent, Hello included
    std::size_t bytes = 0;

    SessionSide(MemoryLog& log, std::vector<CircleId> circles, const Bytes& binding)
        : session(log, std::move(circles), binding) {}
    void send(Bytes message) {
        ++messages;
        bytes += message.size();
        to_peer.push_back(std::move(message));
    }
};

struct SessionPair {
    SessionSide a;
    SessionSide b;
    SessionPair(SyncWorld& world, MemoryLog& log_a, MemoryLog& log_b)
        : a(log_a, {world.circle}, world.binding), b(log_b, {world.circle}, world.binding) {
        a.send(a.session.hello().value());
        b.send(b.session.hello().value());
    }

    // Takes one message out of `from`'s session, or delivers one to `to`; false if there was nothing to do.
    static bool send_one(SessionSide& from) {
        auto message = from.session.next_output();
        if (message) from.send(std::move(*message));
        return message.has_value();
    }
    static bool deliver_one(SessionSide& from, SessionSide& to) {
        if (from.to_peer.empty()) return false;
        const Bytes message = std::move(from.to_peer.front());
        from.to_peer.pop_front();
        const auto outcome = to.session.on_message(message);
        REQUIRE_MESSAGE(outcome.has_value(), outcome.error().sentence());
        return true;
    }
    void settle(SeededRandom& dice) {
        for (int idle = 0; idle < 40;) {
            bool moved = false;
            switch (dice.next() % 4) {
                case 0:
                    moved = send_one(a);
                    break;
                case 1:
                    moved = send_one(b);
                    break;
                case 2:
                    moved = deliver_one(a, b);
                    break;
                default:
                    moved = deliver_one(b, a);
                    break;
            }
            idle = moved ? 0 : idle + 1;
        }
    }
};

inline std::string refusal(Session& session, const SyncMessage& message) {
    const auto outcome = session.on_message(encode_message(message));
    return outcome ? "" : outcome.error().sentence();
}

}  // namespace ladderline::test
