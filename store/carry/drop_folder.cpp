#include "store/carry/drop_folder.hpp"

#include <algorithm>
#include <charconv>

#include "protocol/crypto/hash.hpp"
#include "store/settings/settings.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

// From so many files of its own for one circle on, a node writes one whole bundle in their place. Where that has many
// parts itself, from twice as many on: so each part of the whole comes with a file of news at least.
constexpr std::size_t own_files_max = 64;
constexpr std::string_view here_ending = ".here";
constexpr std::string_view here_text =
    "A Ladderline node looks into this folder. Its files are sealed; leave them as they are.\n";

struct NameTag;
using Name = FixedBytes<NameTag, 16>;

std::string here_name(const DeviceId& device) {
    return to_hex(hash_as<Name>("ladderline drop here 1", {device.view()}).view()) + std::string(here_ending);
}

std::string heads_name(const DeviceId& device, const CircleId& circle) {
    return to_hex(hash_as<Name>("ladderline drop heads 1", {device.view(), circle.view()}).view()) +
           std::string(heads_ending);
}

CarryReader reader_of(const std::string& folder) {
    return hash_as<CarryReader>("ladderline drop folder 1", {as_bytes(folder)});
}

// Of the setting that holds how many parts the last whole bundle had; per folder and circle.
std::string whole_prefix(const CarryReader& reader) {
    return "drop whole " + to_hex(reader.view()) + " ";
}
std::string whole_name(const CarryReader& reader, const CircleId& circle) {
    return whole_prefix(reader) + to_hex(circle.view());
}

Result<std::size_t> own_files_limit(sqlite::Database& db, const CarryReader& reader, const CircleId& circle) {
    TRY(const auto said, get_text_setting(db, whole_name(reader, circle)));
    std::size_t parts = 0;
    if (said) std::from_chars(said->data(), said->data() + said->size(), parts);
    return std::max(own_files_max, 2 * std::min(parts, limits::drop_files_max));
}

// Events that were not put into that folder yet.
Result<bool> has_news(const CarryStore& store, const CircleId& circle, const CarryReader& reader) {
    TRY(const auto heads, store.log.heads(circle));
    for (const LogHead& head : heads) {
        TRY(const std::uint64_t until, carried_until(store.db, circle, reader, head.log));
        if (until < head.next_seq) return true;
    }
    return false;
}

// Circles that somebody else may read along with: more than one device of present members, this owner among them.
Result<std::vector<CircleId>> shared_circles(const CarryStore& store) {
    std::vector<CircleId> out;
    TRY(store.db.query(
        "SELECT circle FROM circle WHERE EXISTS (SELECT 1 FROM member AS mine WHERE mine.circle = circle.circle AND "
        "mine.member = ?1 AND mine.removed = 0) AND (SELECT count(*) FROM device JOIN member USING (circle, member) "
        "WHERE device.circle = circle.circle AND member.removed = 0) > 1 ORDER BY circle",
        [&](const sqlite::Row& row) { out.push_back(row.fixed<CircleId>(0)); }, store.me.id()));
    return out;
}

// What a file waits for to become more: events, or keys.
Result<std::string> events_held(sqlite::Database& db) {
    std::string out;
    TRY(db.query("SELECT coalesce(sum(next_seq), 0) FROM log",
                 [&](const sqlite::Row& row) { out = std::to_string(row.integer(0)) + " events"; }));
    return out;
}
Result<std::string> keys_held(sqlite::Database& db) {
    std::string out;
    TRY(db.query("SELECT count(*) FROM epoch_key",
                 [&](const sqlite::Row& row) { out = std::to_string(row.integer(0)) + " keys"; }));
    return out;
}

// A file is there to be looked at again: nothing about it is final.
bool may_get_better(Fault fault) {
    return fault == Fault::damaged || fault == Fault::bad_input || fault == Fault::not_found ||
           fault == Fault::refused || fault == Fault::unsupported || fault == Fault::peer;
}

}  // namespace

std::string carry_file_name(ByteView part) {
    return to_hex(name_of_bundle(part).view()) + std::string(carry_ending);
}

Result<void> add_drop_folder(const CarryStore& store, CarriedFiles& files, const std::filesystem::path& folder) {
    TRY(const auto all, drop_folders(store.db));
    for (const DropFolder& known : all) {
        if (known.folder == folder.string())
            return Error{Fault::refused, folder.string() + " is a drop folder already; nothing was changed."};
    }
    TRY(const bool is_folder, files.is_folder(folder));
    if (!is_folder) return Error{Fault::not_found, folder.string() + " is no folder; make it first."};
    TRY(files.write(folder / here_name(store.me.device_id()), as_bytes(here_text)));
    return store.db.run("INSERT INTO drop_folder (folder, note) VALUES (?1, '')", folder.string());
}

Result<void> remove_drop_folder(const CarryStore& store, const std::filesystem::path& folder) {
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(store.db));
    for (const char* sql : {"DELETE FROM drop_seen WHERE folder = ?1", "DELETE FROM drop_own WHERE folder = ?1",
                            "DELETE FROM drop_heads WHERE folder = ?1"}) {
        TRY(store.db.run(sql, folder.string()));
    }
    const CarryReader reader = reader_of(folder.string());
    TRY(store.db.run("DELETE FROM carried WHERE reader = ?1", reader));
    TRY(store.db.run("DELETE FROM carried_bundles WHERE reader = ?1", reader));
    TRY(const auto settings, setting_names(store.db, whole_prefix(reader)));
    for (const std::string& name : settings) {
        TRY(forget_setting(store.db, name));
    }
    TRY(store.db.run("DELETE FROM drop_folder WHERE folder = ?1", folder.string()));
    if (store.db.changes() == 0)
        return Error{Fault::not_found, folder.string() + " is no drop folder of this store; nothing was changed."};
    return tx.commit();
}

Result<std::vector<DropFolder>> drop_folders(sqlite::Database& db) {
    std::vector<DropFolder> out;
    TRY(db.query("SELECT folder, looked, note FROM drop_folder ORDER BY folder", [&](const sqlite::Row& row) {
        DropFolder folder{row.text(0), std::nullopt, row.text(2)};
        if (!row.is_null(1)) folder.looked = WallTime{row.integer(1)};
        out.push_back(std::move(folder));
    }));
    return out;
}

Result<void> note_look(sqlite::Database& db, const std::string& folder, std::optional<WallTime> ok_at,
                       std::string_view note) {
    return db.run("UPDATE drop_folder SET looked = coalesce(?2, looked), note = ?3 WHERE folder = ?1", folder, ok_at,
                  note);
}

DropFolderLook::DropFolderLook(const CarryStore& store, CarriedFiles& files, std::string folder, WallTime now,
                               Random& random)
    : store_(store),
      files_(files),
      folder_(std::move(folder)),
      now_(now),
      random_(random),
      reader_(reader_of(folder_)) {}

Result<void> DropFolderLook::begin() {
    begun_ = true;
    const auto here = path_of(here_name(store_.me.device_id()));
    const auto found = files_.exists(here);
    if (!found || !found.value()) {
        return Error{Fault::not_found,
                     folder_ +
                         " is not there, or is not the folder that was added (is the stick in?); nothing was "
                         "written."};
    }
    TRY(const auto names, files_.list(folder_, carry_ending, limits::drop_files_max));
    TRY(const std::string events, events_held(store_.db));
    TRY(const std::string keys, keys_held(store_.db));
    std::set<std::string> done;
    std::set<std::string> later;
    TRY(store_.db.query(
        "SELECT name, waits, lacks FROM drop_seen WHERE folder = ?1",
        [&](const sqlite::Row& row) {
            const std::string name = row.text(0);
            const std::string waits = row.text(1);
            if (waits == events && std::binary_search(names.begin(), names.end(), name)) waiting_[name] = row.text(2);
            if (waits.empty() || waits == events || waits == keys)
                done.insert(name);
            else
                later.insert(name);
        },
        folder_));
    for (const std::string& name : names) {
        if (!done.contains(name) && !later.contains(name)) fresh_.push_back(name);
    }
    for (const std::string& name : names) {
        if (later.contains(name)) fresh_.push_back(name);
    }
    // Names that are gone need not be remembered. (If the list was cut short they are read once more, no harm.)
    for (const std::set<std::string>* known : {&done, &later}) {
        for (const std::string& name : *known) {
            if (std::binary_search(names.begin(), names.end(), name)) continue;
            TRY(store_.db.run("DELETE FROM drop_seen WHERE folder = ?1 AND name = ?2", folder_, name));
        }
    }
    return ok();
}

Result<void> DropFolderLook::note_seen(const std::string& name, const std::string& waits, const std::string& lacks) {
    return store_.db.run("INSERT OR REPLACE INTO drop_seen (folder, name, waits, lacks) VALUES (?1, ?2, ?3, ?4)",
                         folder_, name, waits, lacks);
}

// What others put into the folder need not be put there again, as far as it joins on to what is there. So many a step.
Result<void> DropFolderLook::remember_runs(Reading& reading) {
    constexpr std::size_t runs_max = 500;
    const TakenIn& part = *reading.taken;
    const std::size_t end = std::min(part.runs.size(), reading.remembered + runs_max);
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(store_.db));
    for (; reading.remembered < end; ++reading.remembered) {
        const TakenIn::Carried& run = part.runs[reading.remembered];
        TRY(const std::uint64_t until, carried_until(store_.db, part.head.circle, reader_, run.log));
        TRY(const std::uint64_t held, store_.log.next_seq(part.head.circle, run.log));
        if (run.first_seq > until || run.next_seq <= until || run.next_seq > held) continue;
        TRY(remember_carried(store_.db, part.head.circle, reader_, run.log, run.next_seq, now_));
    }
    return tx.commit();
}

Result<void> DropFolderLook::begin_file(const std::string& name) {
    auto bytes = files_.read(path_of(name), limits::bundle_bytes_max);
    if (!bytes && bytes.error().fault() == Fault::not_found) return ok();  // taken out meanwhile
    if (!bytes) {
        ++done_.unreadable;
        return ok();
    }
    bytes_read_ += bytes.value().size();
    if (carry_file_name(bytes.value()) != name) {
        ++done_.unreadable;
        return ok();
    }
    reading_.emplace(Reading{name, TakingIn(store_, std::move(bytes).value())});
    return ok();
}

Result<void> DropFolderLook::go_on_reading() {
    Reading& reading = *reading_;
    if (!reading.taken) {
        const Result<bool> more = reading.part.step();
        if (!more) return note_unread(std::exchange(reading_, std::nullopt)->name, more.error());
        if (!more.value()) reading.taken = std::move(reading.part).result();
        return ok();
    }
    if (reading.remembered < reading.taken->runs.size()) return remember_runs(reading);
    const Reading done = std::move(*std::exchange(reading_, std::nullopt));
    return note_taken(done.name, *done.taken);
}

Result<void> DropFolderLook::note_unread(const std::string& name, const Error& why) {
    if (!may_get_better(why.fault())) return why;
    ++done_.other;
    TRY(const std::string keys, keys_held(store_.db));
    return note_seen(name, keys, "");
}

Result<void> DropFolderLook::note_taken(const std::string& name, const TakenIn& part) {
    done_.events_read += part.events;
    if (part.events > 0 || part.new_forks > 0) done_.changed.insert(part.head.circle);
    if (!part.in_step)
        done_.settled.erase(part.head.circle);
    else if (done_.changed.contains(part.head.circle))
        done_.settled.insert(part.head.circle);
    if (part.runs_waiting > 0) {
        waiting_[name] = what_is_missing(part);
        return ok();
    }
    ++done_.files_read;
    // The name fits the bytes, so a spoiled part was spoiled before it was named: it gets no better.
    if (part.spoiled) ++done_.unreadable;
    return note_seen(name, "", "");
}

// Files wait for one another; they are read again as long as that brings anything.
Result<void> DropFolderLook::read_waiting_again() {
    if (done_.events_read > events_at_last_pass_) {
        events_at_last_pass_ = done_.events_read;
        for (const auto& [name, sentence] : waiting_) fresh_.push_back(name);
        waiting_.clear();
        if (!fresh_.empty()) return ok();
    }
    TRY(const std::string events, events_held(store_.db));
    for (const auto& [name, sentence] : waiting_) {
        done_.missing.push_back(sentence);
        TRY(note_seen(name, events, sentence));
    }
    waiting_.clear();
    return ok();
}

Result<bool> DropFolderLook::step() {
    if (!begun_) {
        TRY(begin());
        return true;
    }
    if (reading_) {
        TRY(go_on_reading());
        return true;
    }
    if (!fresh_.empty() && bytes_read_ < limits::drop_bytes_max) {
        const std::string name = std::move(fresh_.front());
        fresh_.pop_front();
        TRY(begin_file(name));
        return true;
    }
    done_.more = !fresh_.empty();
    if (!done_.more) {
        TRY(read_waiting_again());
        if (!fresh_.empty()) return true;
    }
    TRY(write_news());
    return false;
}

Result<void> DropFolderLook::write_news() {
    TRY(const auto circles, shared_circles(store_));
    for (const CircleId& circle : circles) {
        TRY(write_circle(circle));
        TRY(write_heads(circle));
    }
    return ok();
}

Result<void> DropFolderLook::write_circle(const CircleId& circle) {
    std::vector<std::string> own;
    TRY(store_.db.query(
        "SELECT name FROM drop_own WHERE folder = ?1 AND circle = ?2",
        [&](const sqlite::Row& row) { own.push_back(row.text(0)); }, folder_, circle));
    BundleOrder order{circle, reader_, std::nullopt, false, std::nullopt};
    TRY(const std::size_t own_limit, own_files_limit(store_.db, reader_, circle));
    if (own.size() >= own_limit) {
        TRY(order.everything, has_news(store_, circle, reader_));
    }
    std::vector<std::string> written;
    const auto put = [&](const Bytes& part) -> Result<void> {
        const std::string name = carry_file_name(part);
        TRY(files_.write(path_of(name), part));
        written.push_back(name);
        TRY(note_seen(name, "", ""));
        return store_.db.run("INSERT OR IGNORE INTO drop_own (folder, name, circle) VALUES (?1, ?2, ?3)", folder_, name,
                             circle);
    };
    const auto put_in = write_bundle(store_, order, now_, random_, put);
    if (!put_in) return put_in.error();
    done_.files_written += put_in.value().parts;
    done_.events_written += put_in.value().events;
    if (!order.everything || written.empty()) return ok();
    TRY(put_text_setting(store_.db, whole_name(reader_, circle), std::to_string(written.size())));
    for (const std::string& name : own) {
        TRY(files_.remove(path_of(name)));
        TRY(store_.db.run("DELETE FROM drop_own WHERE folder = ?1 AND name = ?2", folder_, name));
    }
    return ok();
}

Result<void> DropFolderLook::write_heads(const CircleId& circle) {
    TRY(const auto heads, store_.log.heads(circle));
    const Root root = root_of(circle, heads);
    bool told = false;
    TRY(store_.db.query(
        "SELECT 1 FROM drop_heads WHERE folder = ?1 AND circle = ?2 AND root = ?3",
        [&](const sqlite::Row&) { told = true; }, folder_, circle, root));
    if (told) return ok();
    TRY(const Bytes part, write_holds(store_, circle, random_));
    TRY(files_.write(path_of(heads_name(store_.me.device_id(), circle)), part));
    return store_.db.run("INSERT OR REPLACE INTO drop_heads (folder, circle, root) VALUES (?1, ?2, ?3)", folder_,
                         circle, root);
}

Result<std::vector<DropReader>> drop_readers(const CarryStore& store, CarriedFiles& files, const std::string& folder) {
    constexpr std::size_t readers_max = 256;
    std::vector<DropReader> out;
    TRY(const auto names, files.list(folder, heads_ending, readers_max));
    for (const std::string& name : names) {
        const auto bytes = files.read(std::filesystem::path(folder) / name, limits::bundle_bytes_max);
        if (!bytes) continue;
        const auto part = take_in(store, bytes.value());
        if (!part || part.value().spoiled || !part.value().holds) continue;
        const BundleHead& head = part.value().head;
        // A copy under another name would tell of somebody else.
        if (head.writer == store.me.device_id() || name != heads_name(head.writer, head.circle)) continue;
        DropReader reader{head.circle, head.writer, 0};
        TRY(const auto mine, store.log.heads(head.circle));
        for (const LogHead& own : mine) {
            std::uint64_t theirs = 0;
            for (const LogHead& held : *part.value().holds) {
                if (held.log == own.log) theirs = held.next_seq;
            }
            if (theirs < own.next_seq) reader.lacks += own.next_seq - theirs;
        }
        out.push_back(reader);
    }
    return out;
}

}  // namespace ladderline::store
