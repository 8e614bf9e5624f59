#include "node/commands/export.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fstream>
#include <map>

#include "node/commands/event_text.hpp"
#include "node/commands/export_tables.hpp"
#include "protocol/event/kinds.hpp"

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
    contacts.csv    contacts on the air; contacts.adi is the same for logging programs (ADIF)
    meetings.csv    arranged contacts; meetings.ics is the same for calendars
    answers.csv     practice for examinations, answer by answer
    notes.csv       notes
    pools.csv       question pools in this store, by name
    club_rows.csv   what newcomers let their club see
    events.jsonl    every event you can read, one JSON object a line; all of the above follows from these

Tables have a line of column names, commas between cells, and quotes around a cell that needs them. Days are
2026-11-25, times 2026-11-25T19:05:07Z, always UTC. Long ids are hexadecimal, the same in all files.

No keys, passphrases or invites are in this folder: it cannot be made into a store again. For that, make a backup.
)";

Error disk_failed(const fs::path& path) {
    return {Fault::disk, path.string() +
                             " could not be written, so there is no export; make room on the disk, and try "
                             "again."};
}

// A folder that is removed again unless it was put in its place.
class Draft {
public:
    static Result<std::unique_ptr<Draft>> begin(const fs::path& target) {
        std::error_code error;
        const bool is_there = fs::exists(target, error);
        if (is_there && (!fs::is_directory(target, error) || !fs::is_empty(target, error))) {
            return Error{Fault::refused, target.string() +
                                             " is not an empty folder; nothing was written: choose "
                                             "another name."};
        }
        fs::path part = target;
        if (!part.has_filename()) part = part.parent_path();
        part += ".part";
        if (::mkdir(part.c_str(), 0700) == 0) return std::unique_ptr<Draft>(new Draft(target, part));
        if (errno == EEXIST) {
            return Error{Fault::refused, part.string() +
                                             " is left over from an export that was cut off; nothing was "
                                             "written: remove it and try again."};
        }
        return disk_failed(part);
    }
    ~Draft() {
        std::error_code ignored;
        if (!kept_) fs::remove_all(part_, ignored);
    }
    Draft(const Draft&) = delete;
    Draft& operator=(const Draft&) = delete;

    fs::path file(std::string_view name) const { return part_ / name; }

    Result<void> write(std::string_view name, std::string_view text) const {
        std::ofstream out(file(name), std::ios::binary);
        out << text;
        out.close();
        if (!out) return disk_failed(file(name));
        return synced(file(name));
    }
    Result<void> synced(const fs::path& path) const {
        const int opened = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
        const bool done = opened >= 0 && ::fsync(opened) == 0;
        if (opened >= 0) ::close(opened);
        if (!done) return disk_failed(path);
        return ok();
    }
    Result<void> keep() {
        TRY(synced(part_));
        fs::path target = target_;
        if (!target.has_filename()) target = target.parent_path();
        // An empty folder is replaced; one that has been filled meanwhile is not.
        if (::rename(part_.c_str(), target.c_str()) != 0) return disk_failed(target);
        kept_ = true;
        return synced(target.has_parent_path() ? target.parent_path() : fs::path("."));
    }

private:
    Draft(fs::path target, fs::path part) : target_(std::move(target)), part_(std::move(part)) {}

    fs::path target_;
    fs::path part_;
    bool kept_ = false;
};

// Author by log, for events that count.
struct Author {
    std::string member;
    std::uint64_t seq_max = 0;
};
Result<std::map<std::int64_t, Author>> authors(Context& context) {
    std::map<std::int64_t, Author> out;
    TRY(context.db.query("SELECT log_ref, member, seq_max FROM author", [&](const store::sqlite::Row& row) {
        out[row.integer(0)] = {to_hex(row.fixed<MemberId>(1).view()), static_cast<std::uint64_t>(row.integer(2))};
    }));
    return out;
}

// events.jsonl, and what is gathered on the way: notes and answers.
Result<void> write_events(Context& context, const Draft& draft, ExportCounts& counts, const ExportProgress& progress) {
    std::int64_t total = 0;
    TRY(context.db.query("SELECT count(*) FROM event", [&](const store::sqlite::Row& row) { total = row.integer(0); }));
    TRY(const auto by_log, authors(context));
    std::ofstream out(draft.file("events.jsonl"), std::ios::binary);
    std::string notes = notes_header();
    std::string answers = answers_header();
    std::int64_t done = 0;
    constexpr std::int64_t told_each = 256;
    TRY(counts.unreadable, context.log.visit_readable([&](const store::OpenedEvent& event) -> Result<void> {
        if (progress && done % told_each == 0 && !progress(done, total)) {
            return Error{Fault::cancelled, "Stopped: nothing was exported."};
        }
        ++done;
        const auto found = by_log.find(event.log_ref);
        const bool known = found != by_log.end() && event.seq <= found->second.seq_max;
        const std::string author = known ? found->second.member : "";
        out << event_line(event, author);
        if (!out) return disk_failed(draft.file("events.jsonl"));
        counts.events += 1;
        counts.notes += add_note(event, author, notes);
        counts.answers += add_answer(event, answers);
        return ok();
    }));
    out.close();
    if (!out) return disk_failed(draft.file("events.jsonl"));
    TRY(draft.synced(draft.file("events.jsonl")));
    TRY(draft.write("notes.csv", notes));
    return draft.write("answers.csv", answers);
}

}  // namespace

Result<ExportCounts> export_all(Context& context, const fs::path& folder, const ExportProgress& progress) {
    TRY(const auto draft, Draft::begin(folder));
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
