#include "node/commands/export.hpp"

#include <fstream>
#include <map>

#include "node/commands/event_text.hpp"
#include "node/commands/export_tables.hpp"
#include "node/read_models/dropped.hpp"
#include "protocol/event/kinds.hpp"
#include "store/folder_draft.hpp"

namespace ladderline::node {
namespace {

namespace fs = std::filesystem;
using namespace protocol;

constexpr std::string_view read_me = R"(What this folder is
===================

Everything that one member of Ladderline could read on the day of the export, as plain text (UTF-8). No special
program is needed.

THESE FILES ARE NOT ENCRYPTED. Names, call signs, times at which people are at home, and notes stand here for anybody
who can open the folder; some of it was written by others, for you alone. Keep it where only you can read it, and
delete it when it is no longer needed. Minors' names deserve special care.

    members.csv     who sits in which circle, with the card they show
    ways.csv        every item of every way you can see, and how it stands
    statements.csv  what was said about items: ticks, sign-offs with their level, set asides
    contacts.csv    contacts on the air, the last word about each; contacts.adi is the same for logging programs (ADIF)
    meetings.csv    arranged contacts; meetings.ics is the same for calendars
    answers.csv     practice for examinations, answer by answer
    notes.csv       notes
    pools.csv       question pools in this store, by name
    club_rows.csv   what newcomers let their club see
    stations.csv    your own stations with their exposure sheets
    events.jsonl    every event you can read, one JSON object a line; all of the above follows from these

Tables have a line of column names, commas between cells, and quotes around a cell that needs them. Days are
2026-11-25, times 2026-11-25T19:05:07Z, always UTC. Long ids are hexadecimal, the same in all files.

No keys, passphrases or invites are in this folder: it cannot be made into a store again. For that, make a backup.
)";

// Author by log, for events that count.
struct Author {
    protocol::MemberId id;
    std::string member;
    std::uint64_t seq_min = 0;
    std::uint64_t seq_max = 0;
};
Result<std::map<std::int64_t, Author>> authors(Context& context) {
    std::map<std::int64_t, Author> out;
    TRY(context.db.query("SELECT log_ref, member, seq_min, seq_max FROM author", [&](const store::sqlite::Row& row) {
        const auto id = row.fixed<MemberId>(1);
        out[row.integer(0)] = {id, to_hex(id.view()), static_cast<std::uint64_t>(row.integer(2)),
                               static_cast<std::uint64_t>(row.integer(3))};
    }));
    return out;
}

bool is_taken_back_with_the_rest(std::uint16_t k) {
    return !kind::is_control(k) && k != kind::sign && k != kind::withdraw;
}

// events.jsonl, and what is gathered on the way: notes and answers.
Result<void> write_events(Context& context, const store::FolderDraft& draft, ExportCounts& counts,
                          const store::Progress& progress) {
    std::uint64_t total = 0;
    TRY(context.db.query("SELECT count(*) FROM event",
                         [&](const store::sqlite::Row& row) { total = static_cast<std::uint64_t>(row.integer(0)); }));
    TRY(const auto by_log, authors(context));
    std::map<protocol::CircleId, Dropped> marks;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        TRY(marks[circle.id], dropped(context.db, circle.id));
    }
    std::ofstream out(draft.file("events.jsonl"), std::ios::binary);
    std::string notes = notes_header();
    std::string answers = answers_header();
    std::uint64_t done = 0;
    constexpr std::uint64_t told_each = 256;
    TRY(counts.unreadable, context.log.visit_readable([&](const store::OpenedEvent& event) -> Result<void> {
        if (progress && done % told_each == 0 && !progress(done, total)) {
            return Error{Fault::cancelled, "Stopped: nothing was exported."};
        }
        ++done;
        const auto found = by_log.find(event.log_ref);
        const bool taken_back = found != by_log.end() && event.seq < found->second.seq_min;
        if (taken_back && is_taken_back_with_the_rest(event.body.kind)) return ok();
        if (found != by_log.end() &&
            is_dropped(marks[event.circle], found->second.id, event.body.kind, event.body.time.wall)) {
            return ok();
        }
        const bool known = found != by_log.end() && event.seq <= found->second.seq_max;
        const std::string author = known ? found->second.member : "";
        out << event_line(event, author);
        if (!out) return draft.failed("events.jsonl");
        counts.events += 1;
        counts.notes += add_note(event, author, notes);
        counts.answers += add_answer(event, answers);
        return ok();
    }));
    out.close();
    if (!out) return draft.failed("events.jsonl");
    TRY(draft.sync("events.jsonl"));
    TRY(draft.write("notes.csv", notes));
    return draft.write("answers.csv", answers);
}

}  // namespace

Result<ExportCounts> export_all(Context& context, const fs::path& folder, const store::Progress& progress) {
    TRY(const auto draft, store::FolderDraft::begin(folder));
    ExportCounts counts;
    TRY(const auto tables, export_tables(context, counts));
    for (const PlainFile& table : tables) {
        TRY(draft->write(table.name, table.text));
    }
    TRY(write_events(context, *draft, counts, progress));
    TRY(draft->write("README.txt", read_me));
    TRY(draft->keep());
    return counts;
}

}  // namespace ladderline::node
