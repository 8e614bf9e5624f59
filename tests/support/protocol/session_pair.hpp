#pragma once
// Two sessions over memory logs, pumped against one another. Messages arrive whole and in order within a direction;
// the two directions interleave as a seed decides.

#include <doctest/doctest.h>

#include <deque>
#include <memory>

#include "protocol/crypto/hash.hpp"
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
    std::size_t messages = 0;  // sent
    std::size_t bytes = 0;

    SessionSide(MemoryLog& log, Session::Side side, std::vector<CircleId> circles, const Bytes& binding,
                std::string_view peer)
        : session(log, side, std::move(circles), binding, as_bytes(peer)) {
        REQUIRE(session.begin().has_value());
    }
    void send(Bytes message) {
        ++messages;
        bytes += message.size();
        to_peer.push_back(std::move(message));
    }
};

struct SessionPair {
    SessionSide a;
    SessionSide b;
    // `a` calls `b`.
    SessionPair(SyncWorld& world, MemoryLog& log_a, MemoryLog& log_b, std::string_view name_a = "a",
                std::string_view name_b = "b")
        : a(log_a, Session::Side::caller, {world.circle}, world.binding, name_b),
          b(log_b, Session::Side::called, {world.circle}, world.binding, name_a) {}

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

// A session over `log` whose peer has found the one circle equal: ready for news, number 0 is the circle.
struct EqualSession {
    Session session;
    EqualSession(SyncWorld& world, MemoryLog& log)
        : session(log, Session::Side::called, {world.circle}, world.binding, as_bytes("peer")) {
        REQUIRE(session.begin().has_value());
        REQUIRE(session.next_output().has_value());
        REQUIRE(session.on_message(encode_message(AnswerMessage{{}, 0, {HelloAnswer::equal}})).has_value());
    }
    LogTag tag_of(const SyncWorld& world, const LogId& log) const {
        return HeadTree(hash_as<TreeKey>("ladderline tree key 1", {world.binding, world.circle.view()}), {})
            .tag_of(log);
    }
};

inline std::string refusal(Session& session, const SyncMessage& message) {
    const auto outcome = session.on_message(encode_message(message));
    return outcome ? "" : outcome.error().sentence();
}

}  // namespace ladderline::test
