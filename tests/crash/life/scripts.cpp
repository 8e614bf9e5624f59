#include "tests/crash/life/scripts.hpp"

#include "store/vault/copy_database.hpp"

namespace ladderline::test {
namespace {

using store::Store;

constexpr protocol::PassphraseCost cheap{1, 8};

Result<void> create(Life& life, Store*, Ledger& ledger) {
    TRY(auto store, life.create(ledger.passphrase));
    ledger.made = true;
    return ok();
}

Result<void> open(Life& life, Store*, Ledger& ledger) {
    TRY(auto store, life.open(ledger.passphrase));
    return ok();
}

Result<void> append_notes(Store& store, Ledger& ledger, int count, const std::string& text) {
    std::vector<store::NewEvent> events;
    std::multiset<std::string> texts;
    for (int i = 0; i < count; ++i) {
        texts.insert(std::to_string(i) + text);
        events.push_back(note_in(cast().circle, std::to_string(i) + text));
    }
    return ledger.acknowledge(std::move(texts), [&]() -> Result<void> {
        TRY(store.log().append(events, life_now));
        return ok();
    });
}

Result<void> append_one(Life&, Store* store, Ledger& ledger) {
    return append_notes(*store, ledger, 1, " alone");
}

Result<void> append_many(Life&, Store* store, Ledger& ledger) {
    TRY(append_notes(*store, ledger, 2, " first"));
    TRY(append_notes(*store, ledger, 3, " together"));
    return append_notes(*store, ledger, 2, " then");
}

// More than one gathered write.
Result<void> big_transaction(Life&, Store* store, Ledger& ledger) {
    return append_notes(*store, ledger, 3, std::string(60'000, 'b'));
}

Result<void> checkpoints(Life&, Store* store, Ledger& ledger) {
    TRY(append_notes(*store, ledger, 1, " before"));
    TRY(store->db().execute("PRAGMA wal_checkpoint(TRUNCATE)"));
    TRY(append_notes(*store, ledger, 1, " between"));
    TRY(store->db().execute("PRAGMA wal_checkpoint(RESTART)"));
    return append_notes(*store, ledger, 1, " after");
}

Result<void> copy(Life& life, Store* store, Ledger& ledger) {
    auto keys = store::vault::KeyFile::open(life.disk, home_folder, as_bytes(ledger.passphrase));
    if (!keys) return std::move(keys).error();
    TRY(store::vault::copy_database(store->db(), keys.value().data_key(), copy_of_store, cast().copy_key,
                                    {false, life.vfs.name(), life.random}));
    ledger.copied = true;
    return ok();
}

Result<void> change_passphrase(Life& life, Store* store, Ledger& ledger) {
    TRY(append_notes(*store, ledger, 1, " under the old words"));
    auto keys = store::vault::KeyFile::open(life.disk, home_folder, as_bytes(ledger.passphrase));
    if (!keys) return std::move(keys).error();
    ledger.next_passphrase = "other words of a test";
    TRY(keys.value().set_slot(life.disk, store::vault::SlotType::passphrase, as_bytes(*ledger.next_passphrase), cheap,
                              life.random));
    ledger.passphrase = *ledger.next_passphrase;
    ledger.next_passphrase.reset();
    return append_notes(*store, ledger, 1, " under the new words");
}

Result<void> add_key(Life&, Store* store, Ledger& ledger) {
    return ledger.acknowledge(cast().waiting,
                              [&] { return store->log().add_key(cast().later_circle, cast().later_key); });
}

Result<void> take_run(Life&, Store* store, Ledger& ledger) {
    for (const std::size_t first : {0U, 5U}) {
        const std::size_t count = first == 0 ? 5 : 3;
        std::multiset<std::string> texts;
        for (std::size_t i = first; i < first + count; ++i) texts.insert("from Ben " + std::to_string(i));
        TRY(ledger.acknowledge(std::move(texts), [&]() -> Result<void> {
            TRY(const auto stored, store->log().append_run(cast().circle, cast().bens_log->run(first, count)));
            ENSURE(stored == protocol::Appended::stored);
            return ok();
        }));
    }
    return ok();
}

Result<void> read_everything(Life&, Store* store, Ledger&) {
    for (const protocol::CircleId* circle : {&cast().circle, &cast().later_circle}) {
        TRY(const auto heads, store->log().heads(*circle));
        for (const protocol::LogHead& head : heads) {
            for (std::uint64_t at = 0; at < head.next_seq;) {
                TRY(const protocol::Run run, store->log().read_run(*circle, head.log, at));
                at += run.events.size();
            }
            TRY(const auto id, store->log().event_id(*circle, head.log, head.next_seq - 1));
            if (id != head.head) {
                return Error{Fault::bad_input, "What was read is not what was stored."};
            }
        }
    }
    return ok();
}

Result<void> rebuild(Life& life, Store*, Ledger& ledger) {
    TRY(auto store, life.open(ledger.passphrase, 2));
    return ok();
}

}  // namespace

const std::vector<Script>& scripts() {
    static const std::vector<Script> all{{"create", true, true, create},
                                         {"open", false, true, open},
                                         {"append one", false, false, append_one},
                                         {"append many", false, false, append_many},
                                         {"big transaction", false, false, big_transaction},
                                         {"checkpoints", false, false, checkpoints},
                                         {"copy", false, false, copy},
                                         {"passphrase change", false, false, change_passphrase},
                                         {"key that events waited for", false, false, add_key},
                                         {"run of a peer", false, false, take_run},
                                         {"read everything", false, false, read_everything},
                                         {"read model made anew", false, true, rebuild}};
    return all;
}

Snapshot start_of(const Script& script) {
    return script.from_nothing ? Snapshot{} : cast().start;
}

Ledger ledger_at_start(const Script& script) {
    return script.from_nothing ? Ledger{} : cast().ledger;
}

}  // namespace ladderline::test
