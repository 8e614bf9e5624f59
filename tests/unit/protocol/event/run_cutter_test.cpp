#include "protocol/event/run_cutter.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::LogWriter;

namespace {

struct World {
    test::SeededRandom random{41};
    SignKeys device = make_sign_keys(random);
    AeadKey key = AeadKey::random(random);
    LogWriter log{random.draw<CircleId>(), device, random};

    void write(std::size_t count, std::size_t body_bytes) {
        for (std::size_t i = 0; i < count; ++i) log.write_note(key, std::string(body_bytes, 'x'));
    }
    Run cut(std::size_t first) {
        RunCutter cutter(log.log(), log.opening(), log.tip_before(first));
        for (std::size_t seq = first; seq < log.events().size() && cutter.wants_more(); ++seq) {
            cutter.add(log.events()[seq]);
        }
        return std::move(cutter).take();
    }
    // Passes the whole log on, run by run, as a receiver admits it.
    std::vector<std::size_t> pass_on() {
        std::vector<std::size_t> sizes;
        std::size_t next = 0;
        while (next < log.events().size()) {
            const Run run = cut(next);
            REQUIRE_FALSE(run.events.empty());
            REQUIRE(encode_run(run).size() + 64 <= limits::message_bytes_max);
            const auto checked = check_run(log.circle(), log.opening(), log.tip_before(next), run);
            REQUIRE(checked.has_value());
            REQUIRE(checked.value().size() == run.events.size());
            next += run.events.size();
            sizes.push_back(run.events.size());
        }
        return sizes;
    }
};

}  // namespace

TEST_CASE("a short log is one run") {
    World w;
    w.write(10, 100);
    CHECK(w.pass_on() == std::vector<std::size_t>{10});
}

TEST_CASE("a long log is cut where a run's bytes are full") {
    World w;
    w.write(50, 30'000);
    const std::size_t full = limits::run_bytes_max / 30'000 + 1;
    CHECK(w.pass_on() == std::vector<std::size_t>{full, full, full, full, full, 50 - 5 * full});
}

TEST_CASE("small events are counted with all that travels beside them") {
    World w;
    // Eight control heads that change with every event: 256 bytes beside a body of a few.
    for (int i = 0; i < 1500; ++i) {
        std::vector<EventId> ctl;
        for (int head = 0; head < 8; ++head) ctl.push_back(w.random.draw<EventId>());
        w.log.write_note(w.key, "", ctl);
    }
    const Run run = w.cut(0);
    CHECK(encode_run(run).size() <= limits::run_bytes_max + 1024);
    w.pass_on();
}

TEST_CASE("no run holds more events than a receiver takes") {
    World w;
    w.write(limits::run_events_max + 10, 0);
    CHECK(w.cut(0).events.size() <= limits::run_events_max);
}

TEST_CASE("a run ends on a good signature although its bytes are full later") {
    World w;
    w.write(20, 30'000);
    for (const std::size_t seq : {5, 6, 7, 8}) w.log.spoil_signature(seq);
    const auto sizes = w.pass_on();
    CHECK(sizes.front() == 5);
}

TEST_CASE("a long stretch without a good signature goes out as one run") {
    World w;
    w.write(30, 30'000);
    for (std::size_t seq = 0; seq < 25; ++seq) w.log.spoil_signature(seq);
    CHECK(w.pass_on().front() == 26);
}

TEST_CASE("events without any good signature after them cannot be passed on") {
    World w;
    w.write(3, 10);
    for (std::size_t seq = 0; seq < 3; ++seq) w.log.spoil_signature(seq);
    CHECK(w.cut(0).events.empty());
}
