// Every script with every call of the disk failing in turn: a read, a write, a sync, an opening, a deletion, a question
// for a size, a lock or a name, a step of replacing a small file.

#include <doctest/doctest.h>

#include "tests/crash/life/scripts.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

struct Mode {
    const char* name;
    DiskFault fault;
    bool lasting;
};

struct Outcome {
    std::optional<Error> error;
    Ledger ledger;
    std::int64_t calls = 0;
};

// Runs the script with the fault at its call number `at`.
Outcome run(Life& life, const Script& script, const Mode& mode, std::int64_t at) {
    Outcome out;
    out.ledger = ledger_at_start(script);
    life.vfs.count_side_calls();
    std::unique_ptr<store::Store> store;
    if (!script.opens_itself) store = std::move(life.open(out.ledger.passphrase)).value();
    life.vfs.arm(mode.fault, at, mode.lasting);
    Result<void> outcome = script.act(life, store.get(), out.ledger);
    if (!outcome) out.error = std::move(outcome).error();
    // With the fault still there: closing writes, too.
    store.reset();
    out.calls = life.vfs.calls();
    return out;
}

bool is_clean(const Error& error) {
    const std::string& s = error.sentence();
    return error.fault() == Fault::disk && s.size() > 20 && s.ends_with(".") && s.find('\n') == std::string::npos;
}

}  // namespace

TEST_CASE("every script keeps its word with the disk failing at any one call, or from it on") {
    const Mode modes[] = {{"I/O error", DiskFault::io_error, false},
                          {"I/O errors from then on", DiskFault::io_error, true},
                          {"full", DiskFault::full, false},
                          {"full from then on", DiskFault::full, true},
                          {"sync fails", DiskFault::sync_error, false},
                          {"syncs fail from then on", DiskFault::sync_error, true}};
    int points = 0;
    int errors = 0;
    int lost = 0;
    for (const Script& script : scripts()) {
        const std::string name = script.name;
        CAPTURE(name);
        for (const Mode& mode : modes) {
            const std::string kind_of_fault = mode.name;
            CAPTURE(kind_of_fault);
            bool reached_end = false;
            for (std::int64_t at = 1; !reached_end; ++at) {
                CAPTURE(at);
                Life life(start_of(script));
                Outcome outcome = run(life, script, mode, at);
                life.vfs.disarm();
                reached_end = outcome.calls < at;
                if (outcome.error && !is_clean(*outcome.error)) FAIL_CHECK(outcome.error->sentence());
                if (reached_end) CHECK_FALSE(outcome.error.has_value());
                errors += outcome.error ? 1 : 0;
                ++points;
                const std::string found = verdict(life, outcome.ledger);
                lost += found.empty() ? 0 : 1;
                if (!found.empty()) FAIL_CHECK(found);
            }
        }
    }
    CHECK(errors > points / 4);
    MESSAGE("failing calls: scripts ", scripts().size(), ", points ", points, ", errors said ", errors, ", lost ",
            lost);
}
