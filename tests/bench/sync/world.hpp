#pragma once
// A club of any size with bodies of 120 bytes: the same events every time, so that several processes can speak of them
// without passing anything on. One member and device a log; the first founds the circle and admits all others.

#include "store/event_log/event_log.hpp"
#include "tests/support/protocol/person.hpp"

namespace ladderline::bench {

// What members say: what stands on a path, or what a club lives on. In a club every second member is a newcomer who
// agreed to be listed, every twentieth a mentor.
enum class Sayings { contacts, club };

struct WorldSize {
    std::size_t logs = 100;
    std::size_t events = 5000;  // of all logs, besides the founder's admissions
    Sayings sayings = Sayings::contacts;
};

class World {
public:
    explicit World(WorldSize size);

    std::size_t log_count() const { return size_.logs; }
    const protocol::CircleId& circle() const { return circle_; }
    // The founder, an officer.
    test::Person founder() const;
    // The last thing that anybody says.
    WallTime end() const;
    const protocol::AeadKey& key() const { return key_; }
    protocol::LogId log(std::size_t number) const;

    // All events of one log; number 0 is the founder's.
    struct Written {
        std::vector<protocol::Run> runs;
        std::size_t events = 0;
        std::size_t bytes = 0;  // 91 + plain body, summed up
    };
    Written write(std::size_t number) const;
    // One more event at the end of what `log` holds of that log, which is not the founder's. Gives 91 + plain body.
    Result<std::size_t> write_more(store::EventLog& log, std::size_t number) const;

    // Members, the founder among them, each with a card.
    std::size_t people() const { return size_.logs; }

private:
    struct Author;
    class Pen;

    static Author author(const protocol::CircleId& circle, std::size_t number);
    void write_founding(Pen& pen);
    void write_sayings(Pen& pen, std::size_t number) const;
    protocol::Body club_saying(std::size_t number, std::uint64_t seq) const;

    WorldSize size_;
    protocol::AeadKey key_;
    protocol::CircleId circle_;
    std::vector<protocol::EventId> ctl_;  // the last admission
    Written founding_;
};

}  // namespace ladderline::bench
