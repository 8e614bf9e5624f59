// Every script with its allocations failing in turn, one alone, then all from it on: each of them, but for the longest
// script, of whose thousands only so many are tried as LADDERLINE_TEST_SIZE says.

#include <doctest/doctest.h>

#include <array>
#include <map>
#include <new>

#include "protocol/crypto/hash.hpp"
#include "tests/crash/life/scripts.hpp"
#include "tests/crash/memory/injector.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

struct Outcome {
    Ledger ledger;
    bool reached_end = false;
    bool went_well = false;
    bool threw = false;
    std::string unclean;
};

bool is_clean(const Error& error) {
    const std::string& s = error.sentence();
    return s.size() > 20 && s.ends_with(".") && s.find('\n') == std::string::npos;
}

Outcome run(Life& life, const Script& script, std::int64_t at, bool lasting) {
    Outcome out;
    out.ledger = ledger_at_start(script);
    std::unique_ptr<store::Store> store;
    if (!script.opens_itself) store = std::move(life.open(out.ledger.passphrase)).value();
    fail_allocation(at, lasting);
    try {
        const Result<void> outcome = script.act(life, store.get(), out.ledger);
        stop_failing();
        out.went_well = outcome.has_value();
        if (!outcome && !is_clean(outcome.error())) out.unclean = outcome.error().sentence();
    } catch (const std::bad_alloc&) {
        // The library's edge: nothing of SQLite's is left on the stack.
        stop_failing();
        out.threw = true;
    }
    out.reached_end = allocations() < at;
    // The same store goes on once there is memory again.
    if (store != nullptr && !out.went_well) {
        const Result<void> after = out.ledger.under_way.empty() ? store->db().execute("SELECT 1") : [&] {
            const std::string text = "with memory again";
            Result<protocol::EventId> stored = store->log().append(note_in(cast().circle, text), life_now);
            if (!stored) return Result<void>(stored.error());
            out.ledger.notes.insert(text);
            return Result<void>(ok());
        }();
        if (!after) out.unclean = after.error().sentence();
    }
    return out;
}

// How many allocations the script asks for when none fails.
std::int64_t allocations_of(const Script& script) {
    Life life(start_of(script));
    run(life, script, 1'000'000'000, false);
    return allocations();
}

// A verdict hangs on the bytes of the disk and on the ledger alone, and most failures leave the same ones behind.
class Verdicts {
public:
    const std::string& of(Life& life, Ledger& ledger) {
        std::array<std::uint8_t, 32> sum{};
        const Snapshot disk = life.now();
        for (const Files* files : {&disk.database, &disk.small}) {
            for (const auto& [path, bytes] : *files) {
                const auto before = sum;
                protocol::blake2b(sum, {before, as_bytes(path), bytes});
            }
        }
        const std::string key = to_hex(sum) + (ledger.made ? "m" : "") + (ledger.copied ? "c" : "") +
                                std::to_string(ledger.notes.size()) + "/" + std::to_string(ledger.under_way.size()) +
                                ledger.passphrase + ledger.next_passphrase.value_or("");
        const auto known = verdicts_.find(key);
        if (known != verdicts_.end()) return known->second;
        return verdicts_[key] = verdict(life, ledger);
    }
    std::size_t different_disks() const { return verdicts_.size(); }

private:
    std::map<std::string, std::string> verdicts_;
};

}  // namespace

TEST_CASE("each script asks for memory often enough for its failures to mean something") {
    static_cast<void>(cast());
    for (const Script& script : scripts()) {
        const std::string name = script.name;
        CAPTURE(name);
        Life life(start_of(script));
        CHECK(run(life, script, 1'000'000'000, false).went_well);
        CHECK(allocations() > 50);
        MESSAGE(name, ": allocations ", allocations());
    }
}

TEST_CASE("every script keeps its word with one allocation failing, or all from it on") {
    int points = 0;
    std::int64_t all = 0;  // points, if every allocation were tried
    int threw = 0;
    int leaks = 0;
    int errors = 0;
    int lost = 0;
    static_cast<void>(cast());
    Verdicts verdicts;
    for (const Script& script : scripts()) {
        const std::string name = script.name;
        CAPTURE(name);
        const std::int64_t whole = allocations_of(script);
        // From one allocation that fails to the next that is tried.
        const std::int64_t stride = std::max<std::int64_t>(1, whole / (3'000 * test_size()));
        all += 2 * (whole + 1);
        for (const bool lasting : {false, true}) {
            CAPTURE(lasting);
            bool reached_end = false;
            for (std::int64_t at = lasting ? 1 : (stride + 1) / 2; !reached_end; at += stride) {
                CAPTURE(at);
                Life life(start_of(script));
                const std::int64_t used = sqlite3_memory_used();
                Outcome outcome = run(life, script, at, lasting);
                leaks += sqlite3_memory_used() == used ? 0 : 1;
                reached_end = outcome.reached_end;
                if (!outcome.unclean.empty()) FAIL_CHECK(outcome.unclean);
                if (reached_end) CHECK(outcome.went_well);
                ++points;
                threw += outcome.threw ? 1 : 0;
                errors += outcome.went_well || outcome.threw ? 0 : 1;
                const std::string& found = verdicts.of(life, outcome.ledger);
                lost += found.empty() ? 0 : 1;
                if (!found.empty()) FAIL_CHECK(found);
            }
        }
        MESSAGE(name, ": points so far ", points);
    }
    const FailedAllocations failed = failed_allocations();
    // Whatever else leaks is for the address sanitizer.
    CHECK(leaks == 0);
    CHECK(failed.sqlite > 100);
    CHECK(failed.plain > 100);
    CHECK(failed.guarded > 10);
    MESSAGE("failing allocations: scripts ", scripts().size(), ", points ", points, " of ", all, ", errors said ",
            errors, ", thrown ", threw, ", different disks ", verdicts.different_disks(), ", lost ", lost,
            "; failed of SQLite ", failed.sqlite, ", new ", failed.plain, ", guarded ", failed.guarded);
}
