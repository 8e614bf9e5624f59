// The power goes at any call of the disk: what was not synced is lost, torn at 512-byte sectors, or there out of order;
// the key file and the database change in one schedule. LADDERLINE_TEST_SIZE times 2,000 cuts.

#include <doctest/doctest.h>

#include "tests/crash/life/scripts.hpp"
#include "tests/support/store/vault_box.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

constexpr int lives_max = 3;

Result<void> play(Life& life, const Script& script, Ledger& ledger) {
    std::unique_ptr<store::Store> store;
    if (!script.opens_itself) {
        TRY(store, life.open(ledger.passphrase));
    }
    return script.act(life, store.get(), ledger);
}

std::vector<std::int64_t> calls_of_scripts() {
    std::vector<std::int64_t> out;
    for (const Script& script : scripts()) {
        Life life(start_of(script));
        Ledger ledger = ledger_at_start(script);
        life.vfs.arm(DiskFault::none, 0, false);
        must(play(life, script, ledger));
        out.push_back(life.vfs.calls());
    }
    return out;
}

bool can_be_repeated(const Script& script) {
    const std::string_view name = script.name;
    return name != "copy" && name != "run of a peer" && name != "key that events waited for";
}

struct Tally {
    int cuts = 0;
    std::size_t acknowledged = 0;
    int sound = 0;
    int lost = 0;
    int within_a_step = 0;
    int key_changes_cut = 0;
};

// Cut, look, go on from there, cut again; no further once something is lost.
void live(SeededRandom& chance, const std::vector<std::int64_t>& calls, Tally& tally) {
    std::size_t which = chance.next() % scripts().size();
    Ledger ledger = ledger_at_start(scripts()[which]);
    Snapshot disk = start_of(scripts()[which]);
    for (int i = 0; i < lives_max; ++i) {
        const Script& script = scripts()[which];
        const std::string name = script.name;
        CAPTURE(name);
        Life life(disk, chance.next());
        const std::size_t before = ledger.notes.size();
        // From this call on nothing reaches the disk any more; what is left is a part of what was under way.
        life.vfs.arm(DiskFault::io_error,
                     1 + static_cast<std::int64_t>(chance.next() % static_cast<std::uint64_t>(calls[which])), true);
        static_cast<void>(play(life, script, ledger).has_value());
        tally.acknowledged += ledger.notes.size() - before;
        tally.within_a_step += ledger.under_way.empty() ? 0 : 1;
        tally.key_changes_cut += ledger.next_passphrase ? 1 : 0;
        ++tally.cuts;
        disk = life.after_power_cut(chance);
        ledger.copied = false;
        Life later(disk, chance.next());
        const std::string found = verdict(later, ledger);
        if (!found.empty()) {
            ++tally.lost;
            FAIL_CHECK(found);
            return;
        }
        ++tally.sound;
        if (script.from_nothing) return;
        disk = later.now();
        do {
            which = chance.next() % scripts().size();
        } while (scripts()[which].from_nothing || !can_be_repeated(scripts()[which]));
    }
}

}  // namespace

TEST_CASE("a power cut at any call of the disk loses nothing that was acknowledged, key files included") {
    const std::vector<std::int64_t> calls = calls_of_scripts();
    const int cuts = 2000 * test_size();
    SeededRandom chance(20261126);
    Tally tally;
    while (tally.cuts < cuts && tally.lost == 0) {
        CAPTURE(tally.cuts);
        live(chance, calls, tally);
    }
    CHECK(tally.within_a_step > cuts / 20);
    CHECK(tally.key_changes_cut > cuts / 100);
    MESSAGE("power loss: rounds ", tally.cuts, ", acknowledged ", tally.acknowledged, ", cut within a step ",
            tally.within_a_step, ", within a change of passphrase ", tally.key_changes_cut, ", lost ", tally.lost,
            ", integrity ok ", tally.sound);
}
