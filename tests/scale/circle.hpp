#pragma once
// The circles of a simulated club: who said what and when, and who holds how much of it. Holding is a count for each
// log, because events of a log are only ever held from the first on.

#include <cstring>

#include "protocol/circle/bodies.hpp"
#include "tests/scale/assumptions.hpp"

namespace ladderline::scale {

using protocol::CircleId;
using protocol::EventId;
using protocol::LogId;
using protocol::LogOpening;

inline constexpr std::size_t couriers_each = 2;

// What an event carries beside its body, and what it is.
enum WordFlag : std::uint8_t { names_key = 1, names_ctl = 2, is_control = 4, is_rotation = 8 };

struct Word {
    std::uint32_t written_s = 0;
    std::uint16_t plain_bytes = 0;
    std::uint8_t flags = 0;
    std::uint32_t readers = 0;  // that are to have it; 0: nobody waits for it
    std::uint32_t got = 0;
    std::uint32_t last_s = 0;  // when the last one so far got it
};

struct Log {
    LogId id;
    LogOpening opening;
    std::vector<Word> words;
    std::uint32_t ctl_said = 0;  // control events that its last word knew of
    std::uint32_t key_said = 0;
};

// Equal hashes stand for equal roots.
struct Holding {
    std::vector<std::uint16_t> counts;
    std::uint64_t hash = 0;

    void grow(std::size_t logs) {
        if (counts.size() < logs) counts.resize(logs);
    }
    void set(std::size_t log, std::uint16_t count);
};

struct Circle {
    Place place = Place::club;
    CircleId id;
    std::vector<Log> logs;
    std::vector<std::uint32_t> by_id;  // log numbers in order of log id
    std::uint32_t seats = 0;           // devices that are in it now
    bool is_open = true;
    std::array<Holding, couriers_each> at_courier;
    std::array<std::uint64_t, couriers_each> used_bytes{};  // as a courier counts them
    std::array<std::uint32_t, couriers_each> renewed{};     // the epoch whose access key the courier expects
    std::uint32_t epoch = 0;                                // rotations so far

    std::uint32_t add_log(Dice& dice);
    const Log* find(const LogId& log, std::uint32_t& number) const;
};

// What follows from its place alone, so that it need not be kept: the id of an event.
EventId event_id_at(const Circle& circle, std::size_t log, std::size_t seq);
inline std::size_t sealed_bytes(const Word& word) {
    return word.plain_bytes + protocol::aead_tag_bytes;
}

// A device's place in one circle, and how it stands with the two couriers.
struct Channel {
    Holding same;  // what both held when they were last found equal
    bool has_cursor = false;
    std::uint64_t courier_arrivals = 0;  // then
    std::uint32_t next_s = 0;            // 0: no visit is planned
    std::uint32_t wait_s = 0;            // after failures in a row
    bool by_news = false;
};
struct Seat {
    std::uint32_t device = 0;
    std::uint32_t circle = 0;
    std::uint32_t log = 0;  // its own there
    bool is_open = true;
    std::uint32_t control = 0;    // control events held
    std::uint32_t epoch = 0;      // the newest key held
    std::uint32_t rotations = 0;  // events of new keys held
    Holding held;
    std::array<Channel, couriers_each> channels;
};

}  // namespace ladderline::scale
