// Bundles that begin many logs: what they cost, how they are read step by step, and what is kept where that ends early.

#include <doctest/doctest.h>
#include <sqlite3.h>

#include <deque>

#include "protocol/sync/room.hpp"
#include "store/digest/state_digest.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/store/carrier.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using namespace ladderline::test;
using store::take_in;
using store::TakenIn;
using store::TakingIn;

namespace {

// Counts how often what is dear is worked out.
class Counting : public store::ReadModel {
public:
    std::string name() const override { return "counting"; }
    std::int64_t version() const override { return 1; }
    Result<void> reset(store::sqlite::Database&) override { return ok(); }
    Result<void> apply(store::sqlite::Database&, const store::OpenedEvent&) override { return ok(); }
    std::vector<std::string> tables() const override { return {}; }
    Result<void> settle(store::sqlite::Database&, const CircleId&, bool) override {
        ++settled;
        return ok();
    }
    int settled = 0;
};

// A part that somebody with the circle's key made up: each log of a device that nobody knows, with one event.
class Crowd {
public:
    explicit Crowd(std::size_t logs) {
        for (std::size_t i = 0; i < logs; ++i) {
            devices_.push_back(make_sign_keys(random_));
            logs_.emplace_back(f.circle, devices_.back(), random_);
            logs_.back().write_note(key_, "from nobody");
        }
    }
    LogWriter& log(std::size_t i) { return logs_.at(i); }
    const AeadKey& key() const { return key_; }
    BundleWriter begin() {
        BundleHead head{f.circle, random_.draw<BundleId>(), 1, f.ada.person.device_id(), std::nullopt, {}};
        return {BundleLock::under(key_, random_), head};
    }
    Bytes part() {
        BundleWriter out = begin();
        for (const LogWriter& log : logs_) out.add_run(std::nullopt, encode_run(log.run()));
        return std::move(out).finish(true);
    }
    // Max with a store of his own, who has the key.
    void join(Carrier& reader) const { REQUIRE(reader.node.log.add_key(f.circle, key_).has_value()); }

    SharedPath f;

private:
    SeededRandom random_{77};
    AeadKey key_ = f.ada.node.log.current_key(f.circle).value();
    std::deque<SignKeys> devices_;
    std::deque<LogWriter> logs_;
};

TakenIn must_take(Carrier& reader, ByteView part) {
    auto taken = take_in(reader.store(), part);
    if (!taken) FAIL(taken.error().sentence());
    return std::move(taken).value();
}

std::int64_t waiting(Carrier& reader) {
    return reader.node.count("SELECT count(*) FROM unsettled");
}

// Gives the steps that it took.
std::size_t take_steps(TakingIn& taking, std::size_t count_max = 1000) {
    for (std::size_t steps = 1; steps <= count_max; ++steps) {
        if (!taking.step().value()) return steps;
    }
    return count_max;
}

}  // namespace

TEST_CASE("a bundle that begins many logs is stored in a few transactions, and its circle is worked out a few times") {
    Crowd crowd(400);
    Counting counting;
    Carrier reader("Max Dale", 2, {&counting});
    crowd.join(reader);
    const Bytes part = crowd.part();
    int commits = 0;
    sqlite3_commit_hook(
        reader.node.db.handle(),
        [](void* count) {
            ++*static_cast<int*>(count);
            return 0;
        },
        &commits);
    counting.settled = 0;
    CHECK(must_take(reader, part).events == 400);
    CHECK(counting.settled <= 10);
    CHECK(commits <= 10);
    CHECK(waiting(reader) == 0);
}

TEST_CASE("each step of a part takes in a piece of it, and no more") {
    Crowd crowd(1000);
    Carrier& max = crowd.f.max;
    const Bytes part = crowd.part();
    TakingIn taking(max.store(), part);
    std::int64_t before = 0;
    std::size_t steps = 0;
    for (bool more = true; more; ++steps) {
        more = taking.step().value();
        CHECK(max.events() - before < 350);  // some 220 bytes each
        before = max.events();
    }
    CHECK(steps == (part.size() + BundleSteps::piece_bytes - 1) / BundleSteps::piece_bytes);
    CHECK(steps > 2);
    CHECK(std::move(taking).result().events == 1000);
}

TEST_CASE("a part that is left in the middle has what its steps stored, and brings the rest when it is read again") {
    Crowd crowd(1000);
    const Bytes path = crowd.f.ada.bundle(crowd.f.order()).front();
    const Bytes part = crowd.part();
    Carrier& max = crowd.f.max;
    must_take(max, path);
    {
        TakingIn taking(max.store(), part);
        CHECK(take_steps(taking, 2) == 2);
    }
    const auto stored = static_cast<std::uint64_t>(max.node.count("SELECT count(*) FROM log")) - 1;
    CHECK(stored > 0);
    CHECK(stored < 1000);
    CHECK(must_take(max, part).events == 1000 - stored);
    CHECK(waiting(max) == 0);
    SharedPath whole;
    must_take(whole.max, path);
    must_take(whole.max, part);
    const auto digest = [&](Carrier& who) {
        return store::state_digest(who.node.db, who.node.log, crowd.f.circle).value();
    };
    CHECK(digest(max) == digest(whole.max));
}

TEST_CASE("a bad run in a bundle keeps what came before it, and nothing of it and behind it") {
    Crowd crowd(6);
    crowd.log(3).spoil_signature(0);
    const TakenIn taken = must_take(crowd.f.max, crowd.part());
    CHECK(taken.events == 3);
    CHECK(crowd.f.max.events() == 3);
    REQUIRE(taken.spoiled.has_value());
    CHECK(taken.spoiled->fault() == Fault::peer);
    // What a reader of the folder does not get from this part is not said to be in it.
    CHECK(taken.runs.size() == 3);
    CHECK(waiting(crowd.f.max) == 0);
}

TEST_CASE("small runs of one log in one piece build on one another") {
    Crowd crowd(1);
    LogWriter& log = crowd.log(0);
    for (int i = 0; i < 4; ++i) log.write_note(crowd.key(), "more");
    BundleWriter out = crowd.begin();
    out.add_run(std::nullopt, encode_run(log.run(0, 2)));
    out.add_run(log.tip_before(2).head, encode_run(log.run(2, 1)));
    out.add_run(log.tip_before(3).head, encode_run(log.run(3, 2)));
    const TakenIn taken = must_take(crowd.f.max, std::move(out).finish(true));
    CHECK(taken.events == 5);
    CHECK(taken.runs_waiting == 0);
    CHECK(taken.runs_forked == 0);
}

TEST_CASE("a run that does not build on what came just before it in its part belongs to a fork") {
    Crowd crowd(1);
    LogWriter& log = crowd.log(0);
    log.write_note(crowd.key(), "more");
    BundleWriter out = crowd.begin();
    out.add_run(std::nullopt, encode_run(log.run(0, 1)));
    out.add_run(log.tip_before(2).head, encode_run(log.run(1, 1)));
    const TakenIn taken = must_take(crowd.f.max, std::move(out).finish(true));
    CHECK(taken.events == 1);
    CHECK(taken.runs_forked == 1);
}

TEST_CASE("logs that others begin between two steps of a part take its places too") {
    Crowd crowd(1000);
    Carrier& max = crowd.f.max;
    TakingIn taking(max.store(), crowd.part());
    REQUIRE(taking.step().value());
    const std::int64_t before = max.events();
    REQUIRE(
        max.node.db.run("WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?2) "
                        "INSERT INTO log (circle, log, device, salt, founding, mine, next_seq, head) "
                        "SELECT ?1, randomblob(16), randomblob(32), randomblob(16), 0, 0, 1, randomblob(32) FROM n",
                        crowd.f.circle, static_cast<std::int64_t>(logs_taken_max) - before));
    take_steps(taking);
    CHECK(max.events() == before);
    const TakenIn taken = std::move(taking).result();
    CHECK(taken.events == static_cast<std::uint64_t>(before));
    CHECK(taken.logs_left == 1000 - static_cast<std::size_t>(before));
}
