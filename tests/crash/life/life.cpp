#include "tests/crash/life/life.hpp"

#include "protocol/event/kinds.hpp"
#include "store/vault/copy_database.hpp"
#include "tests/crash/life/note_model.hpp"

namespace ladderline::test {
namespace {

using Texts = std::multiset<std::string>;

constexpr protocol::PassphraseCost cheap{1, 8};

void found_circle(Cast& cast, store::Store& store) {
    store.log().act_as({cast.ada.device_id(), cast.ada.device.secret.clone()});
    const protocol::FoundBody body{
        protocol::CircleKind::club, "circle", protocol::MemberRole::officer, 4, cast.ada.name, false,
        cast.ada.certificate()};
    auto tx = store::sqlite::Transaction::begin(store.db());
    ENSURE(tx.has_value());
    const auto circle = store.log().found_within(protocol::codec::encode(body), life_now);
    ENSURE(circle.has_value() && tx.value().commit().has_value());
    cast.circle = circle.value();
}

void write_some(Cast& cast, store::Store& store) {
    for (int i = 0; i < 6; ++i) {
        const std::string text = "at the beginning " + std::to_string(i);
        ENSURE(store.log().append(note_in(cast.circle, text), life_now).has_value());
        cast.ledger.notes.insert(text);
    }
    cast.later_circle = cast.random.draw<protocol::CircleId>();
    LogWriter other(cast.later_circle, cast.ben.device, cast.random);
    for (int i = 0; i < 4; ++i) {
        const std::string text = "waiting " + std::to_string(i);
        other.write_note(cast.later_key, text);
        cast.waiting.insert(text);
    }
    ENSURE(store.log().append_run(cast.later_circle, other.run()).value() == protocol::Appended::stored);
    const protocol::AeadKey key = std::move(store.log().current_key(cast.circle)).value();
    cast.bens_log.emplace(cast.circle, cast.ben.device, cast.random);
    for (int i = 0; i < 8; ++i) cast.bens_log->write_note(key, "from Ben " + std::to_string(i));
}

// What is left behind as a running program leaves it: part in the database, part in the log.
Cast make_cast() {
    Cast out;
    Life life({});
    {
        auto store = life.create(out.ledger.passphrase);
        ENSURE(store.has_value());
        found_circle(out, *store.value());
        write_some(out, *store.value());
        ENSURE(store.value()->db().execute("PRAGMA wal_checkpoint(TRUNCATE)").has_value());
        const std::string text = "still in the log";
        ENSURE(store.value()->log().append(note_in(out.circle, text), life_now).has_value());
        out.ledger.notes.insert(text);
        out.start = life.now();
    }
    out.ledger.made = true;
    return out;
}

// The notes of one log, each opened from its sealed event, chain and signatures checked up to the head.
Result<Texts> texts_of_log(store::EventLog& log, const protocol::CircleId& circle, const protocol::LogHead& head,
                           const protocol::AeadKey& key) {
    Texts out;
    protocol::ChainTip tip;
    protocol::LogOpening opening;
    while (tip.next_seq < head.next_seq) {
        TRY(const protocol::Run run, log.read_run(circle, head.log, tip.next_seq));
        if (run.opening) opening = *run.opening;
        TRY(const auto checked, protocol::check_run(circle, opening, tip, run));
        for (const protocol::CheckedEvent& e : checked) {
            tip = {e.event.header.seq + 1, e.id, e.event.header.key, e.event.header.ctl};
            auto body = protocol::open_body(e.event.header, e.event.sealed, key);
            if (body && body.value().kind == protocol::kind::note) out.emplace(as_text(body.value().payload));
        }
    }
    if (tip.head != head.head) return Error{Fault::damaged, "A chain of events does not end at its head."};
    return out;
}

Result<Texts> texts_of(store::EventLog& log, const protocol::CircleId& circle, const protocol::AeadKey& key) {
    Texts out;
    TRY(const auto heads, log.heads(circle));
    for (const protocol::LogHead& head : heads) {
        TRY(Texts texts, texts_of_log(log, circle, head, key));
        out.merge(texts);
    }
    return out;
}

Result<Texts> texts_of_model(store::sqlite::Database& db) {
    Texts out;
    TRY(db.query("SELECT text FROM note", [&](const store::sqlite::Row& row) { out.insert(row.text(0)); }));
    return out;
}

Result<std::string> check_of(store::sqlite::Database& db, std::string_view sql) {
    std::string out;
    TRY(db.query(sql, [&](const store::sqlite::Row& row) { out += row.text(0) + " "; }));
    return out;
}

Texts both(Texts a, const Texts& b) {
    a.insert(b.begin(), b.end());
    return a;
}

std::string examine_copy(Life& life, const Ledger& ledger) {
    const store::vault::OpenOptions options{false, life.vfs.name(), life.random};
    auto db = store::vault::open_database(copy_of_store, cast().copy_key, options);
    if (!db) return "the copy: " + db.error().sentence();
    const auto texts = texts_of_model(db.value());
    if (!texts) return "the copy: " + texts.error().sentence();
    return texts.value() == ledger.notes ? "" : "the copy holds something else";
}

}  // namespace

std::vector<std::unique_ptr<store::ReadModel>> life_models(std::int64_t note_version) {
    std::vector<std::unique_ptr<store::ReadModel>> out;
    out.push_back(std::make_unique<NoteModel>(note_version));
    return out;
}

Result<std::string> examine(store::Store& store, Ledger& ledger) {
    TRY(const std::string integrity, check_of(store.db(), "PRAGMA integrity_check"));
    if (integrity != "ok ") return "integrity: " + integrity;
    TRY(const std::string foreign, check_of(store.db(), "PRAGMA foreign_key_check"));
    if (!foreign.empty()) return "foreign keys: " + foreign;
    Texts in_log;
    for (const protocol::CircleId* circle : {&cast().circle, &cast().later_circle}) {
        auto key = store.log().current_key(*circle);
        if (!key) continue;
        TRY(Texts texts, texts_of(store.log(), *circle, key.value()));
        in_log.merge(texts);
    }
    TRY(const Texts in_model, texts_of_model(store.db()));
    if (in_model != in_log) return std::string("the read model does not say what the events say");
    if (in_log == ledger.notes || in_log == both(ledger.notes, ledger.under_way)) {
        ledger.notes = in_log;
        ledger.under_way.clear();
        return std::string();
    }
    return "holds " + std::to_string(in_log.size()) + " notes, " + std::to_string(ledger.notes.size()) +
           " were acknowledged, " + std::to_string(ledger.under_way.size()) + " under way";
}

Life::Life(const Snapshot& from, std::uint64_t seed) : vfs(from.database), disk(vfs, from.small), random(seed) {}

Result<std::unique_ptr<store::Store>> Life::open(const std::string& passphrase, std::int64_t note_version) {
    TRY(auto store,
        store::Store::open(disk, {home_folder, vfs.name()}, as_bytes(passphrase), random, life_models(note_version)));
    store->log().act_as({cast().ada.device_id(), cast().ada.device.secret.clone()});
    return store;
}

Result<std::unique_ptr<store::Store>> Life::create(const std::string& passphrase) {
    return store::Store::create(disk, {home_folder, vfs.name()}, as_bytes(passphrase), cheap, random, life_models());
}

Snapshot Life::after_power_cut(SeededRandom& chance) const {
    Snapshot out{vfs.after_power_cut(chance), disk.after_power_cut(chance)};
    return out;
}

const Cast& cast() {
    static const Cast all = make_cast();
    return all;
}

store::NewEvent note_in(const protocol::CircleId& circle, std::string_view text) {
    return {circle, protocol::kind::note, to_bytes(as_bytes(text)), {}};
}

std::string verdict(Life& life, Ledger& ledger) {
    auto opened = life.open(ledger.passphrase);
    if (!opened && ledger.next_passphrase) {
        opened = life.open(*ledger.next_passphrase);
        ledger.passphrase = *ledger.next_passphrase;
    }
    ledger.next_passphrase.reset();
    if (!opened && !ledger.made) opened = life.create(ledger.passphrase);
    if (!opened) return opened.error().sentence();
    ledger.made = true;
    const Result<std::string> found = examine(*opened.value(), ledger);
    if (!found) return found.error().sentence();
    if (!found.value().empty() || !ledger.copied) return found.value();
    return examine_copy(life, ledger);
}

}  // namespace ladderline::test
