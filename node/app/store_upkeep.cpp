#include "node/app/store_upkeep.hpp"

#include "node/app/execute.hpp"
#include "node/commands/store_state.hpp"
#include "store/upkeep/backup.hpp"
#include "store/upkeep/instance_notice.hpp"
#include "store/upkeep/last_check.hpp"
#include "store/upkeep/mend.hpp"

namespace ladderline::node {
namespace {

constexpr std::uint64_t events_per_step = 512;

std::string events_text(std::uint64_t count) {
    return std::to_string(count) + (count == 1 ? " event" : " events");
}

std::string short_id(const store::InstanceId& id) {
    return to_hex(id.view()).substr(0, 8);
}

Result<store::LastCheck> check_now(OpenHome& home, Env& env, const store::Progress& progress) {
    store::sqlite::Database& db = home.store->db();
    const Result<std::string> tables = store::check_tables(db, [&progress] { return store::goes_on(progress, 1, 1); });
    if (!tables && tables.error().fault() != Fault::damaged && tables.error().fault() != Fault::disk)
        return tables.error();
    store::ChainCheck check(db);
    for (bool more = true; more;) {
        TRY(more, check.step(events_per_step));
        if (!store::goes_on(progress, 1, 1)) return Error{Fault::cancelled, "Stopped; nothing was changed."};
    }
    store::CheckRecord record = store::record_of(check.report(), env.clock.wall());
    const bool tables_whole = tables && tables.value() == "ok";
    record.sound = record.sound && tables_whole;
    const std::string said = tables ? tables.value() : "a page does not open";
    record.sentence =
        (tables_whole ? "Pages, tables and indexes are whole. " : "Damaged: " + said + ". ") + record.sentence;
    // A damaged store may not take it.
    static_cast<void>(store::put_full_check(db, record).has_value());
    return store::LastCheck{record, true, record.when};
}

std::string verdict_of(const store::LastCheck& check) {
    if (!check.record.sound) {
        return "This store is damaged: 'ladderline mend' keeps what is good and lets peers send the rest; a backup can "
               "be restored.";
    }
    if (check.is_full) return "This store is whole.";
    if (check.full_check) return "The whole store was good on " + to_iso_minute(*check.full_check) + ".";
    return "Only the events were looked at; 'ladderline check' looks at the whole store.";
}

cli::Answer answer_of_check(const store::LastCheck& check, const OpenHome& home) {
    const store::CheckRecord& record = check.record;
    std::vector<std::string> text{"Checked " + to_iso_minute(record.when) + ".", record.sentence,
                                  "Instance " + short_id(home.store->instance()) + "."};
    if (!home.store->notice().empty()) text.push_back(home.store->notice());
    text.push_back(verdict_of(check));
    return {cli::lines(text),
            {{"checked", to_iso_minute(record.when)},
             {"logs", record.logs},
             {"events", record.events},
             {"whole", record.sound},
             {"looked_at", check.is_full ? "everything" : "events"},
             {"found", record.sentence},
             {"notice", home.store->notice()}}};
}

Result<store::LastCheck> last_or_now(OpenHome& home, Env& env, bool last, const store::Progress& progress) {
    if (!last) return check_now(home, env, progress);
    TRY(auto record, store::last_check(home.store->db()));
    if (!record) {
        return Error{Fault::not_found, "This store has not been checked yet; 'ladderline check' does it now."};
    }
    return std::move(*record);
}

std::string circle_line(const store::CircleSalvage& circle) {
    const std::string name = circle.name.empty() ? "circle " + to_hex(circle.circle.view()).substr(0, 8) : circle.name;
    return "- " + name + ": " + events_text(circle.kept) + " kept, " + std::to_string(circle.lost) + " not readable";
}

}  // namespace

Result<cli::Answer> back_up_home(OpenHome& home, Env& env, const std::filesystem::path& folder,
                                 const store::Progress& progress) {
    TRY(const store::BackupReport report, store::back_up(*home.store, home.disk, folder, env.random, progress));
    TRY(note_copy(home.store->db(), env.clock.wall(), folder));
    return cli::Answer{"A sealed copy with " + events_text(report.events) + " is in " + folder.string() +
                           "; it was opened and checked. The passphrase of this store opens it.",
                       {{"folder", folder.string()}, {"events", report.events}, {"bytes", report.bytes}}};
}

Result<cli::Answer> restore_home(const std::filesystem::path& backup, const std::filesystem::path& folder,
                                 const Unlock& unlock, Env& env, const store::Progress& progress) {
    store::RealDisk disk;
    TRY(const store::BackupReport report,
        store::restore(disk, backup, folder, unlock.by, unlock.secret.view(), env.random, progress));
    return cli::Answer{
        "The store is back, with " + events_text(report.events) +
            ". What was written after this backup comes from your people; what you write now goes into new logs. " +
            std::string(store::older_store_words),
        {{"events", report.events}, {"bytes", report.bytes}}};
}

Result<cli::Answer> mend_home(const std::filesystem::path& folder, const Unlock& unlock, Env& env,
                              const store::Progress& progress) {
    store::RealDisk disk;
    TRY(const store::MendReport report,
        store::mend(disk, folder, unlock.by, unlock.secret.view(), env.random, node_models(), progress));
    std::vector<std::string> text{"What could be read is in a new database; the damaged one is kept as " +
                                  report.kept_as.filename().string() + "."};
    boost::json::array circles;
    for (const store::CircleSalvage& circle : report.circles) {
        text.push_back(circle_line(circle));
        circles.push_back({{"name", circle.name},
                           {"circle", to_hex(circle.circle.view())},
                           {"kept", circle.kept},
                           {"lost", circle.lost}});
    }
    if (report.logs_lost > 0) text.push_back("- " + std::to_string(report.logs_lost) + " logs whose name is lost");
    for (const std::string& table : report.tables_short) {
        text.push_back(table == "epoch_key" ? "- keys to circles are lost: a backup has them, or people in those "
                                              "circles let this node in again"
                                            : "- of this node's own table '" + table + "' a part is lost");
    }
    text.emplace_back(
        "Let it sync: your people send what is missing. Invites and courier codes of before let nobody in any more; "
        "make "
        "new ones.");
    return cli::Answer{
        cli::lines(text),
        {{"kept_as", report.kept_as.string()}, {"lost", report.lost()}, {"circles", std::move(circles)}}};
}

ControlAnswer check_home(OpenHome& home, Env& env, const cli::CheckOptions& options, bool json,
                         const store::Progress& progress) {
    const Result<store::LastCheck> check = last_or_now(home, env, options.last, progress);
    if (!check) return to_answer(check.error(), json);
    ControlAnswer out = to_answer(answer_of_check(check.value(), home), json);
    if (!check.value().record.sound) out.exit_code = static_cast<std::uint8_t>(cli::exit_code_of(Fault::damaged));
    return out;
}

}  // namespace ladderline::node
