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

TEST_CASE("a run goes on beyond a fork to the signature over what stands before it, and no further") {
    World w;
    w.write(6, 10);
    for (const std::size_t seq : {1, 2, 3}) w.log.spoil_signature(seq);
    const auto size_with_fork_at = [&](std::size_t fork) {
        RunCutter cutter(w.log.log(), w.log.opening(), {});
        for (std::size_t seq = 0; seq < 6 && cutter.wants_more(seq < fork); ++seq) cutter.add(w.log.events()[seq]);
        return std::move(cutter).take().events.size();
    };
    CHECK(size_with_fork_at(1) == 1);
    CHECK(size_with_fork_at(2) == 5);
    CHECK(size_with_fork_at(4) == 5);
    CHECK(size_with_fork_at(5) == 5);
}

TEST_CASE("a full run ends before a fork where it can, and what is left of the events before it is another run") {
    World w;
    w.write(12, 30'000);
    for (const std::size_t seq : {9, 10}) w.log.spoil_signature(seq);
    const auto size_from = [&](std::size_t first) {
        RunCutter cutter(w.log.log(), w.log.opening(), w.log.tip_before(first));
        for (std::size_t seq = first; seq < 12 && cutter.wants_more(seq < 10); ++seq) cutter.add(w.log.events()[seq]);
        return std::move(cutter).take().events.size();
    };
    CHECK(size_from(0) == 9);
    CHECK(size_from(9) == 3);
}
