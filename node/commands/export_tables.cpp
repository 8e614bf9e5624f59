#include "node/commands/export_tables.hpp"

#include <cstdio>
#include <map>

#include "node/commands/log_files.hpp"
#include "node/commands/meeting_card.hpp"
#include "node/commands/meeting_ends.hpp"
#include "node/commands/plain_text.hpp"
#include "node/commands/stations.hpp"
#include "node/commands/study.hpp"
#include "node/commands/way.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

std::string text_of(const std::optional<Day>& day) {
    return day ? to_iso(*day) : "";
}
std::string figure(double v) {
    char out[32];
    std::snprintf(out, sizeof out, "%.9g", v);
    return out;
}
std::string yes_no(bool v) {
    return v ? "yes" : "no";
}
template <class Id>
std::string hex(const Id& id) {
    return to_hex(id.view());
}

std::string joined(const std::vector<std::string>& all) {
    std::string out;
    for (const std::string& one : all) out += (out.empty() ? "" : "; ") + one;
    return out;
}

std::string clock_of(std::uint16_t minute) {
    const std::string hours = std::to_string(minute / 60);
    const std::string minutes = std::to_string(minute % 60);
    return (hours.size() < 2 ? "0" : "") + hours + ":" + (minutes.size() < 2 ? "0" : "") + minutes;
}

std::string times_of(const std::vector<WeeklyWindow>& windows) {
    constexpr std::array<const char*, 8> names{"?", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};
    std::vector<std::string> out;
    for (const WeeklyWindow& w : windows) {
        out.push_back(std::string(names[w.weekday < names.size() ? w.weekday : 0]) + " " + clock_of(w.start_minute) +
                      "-" + clock_of(w.end_minute));
    }
    return joined(out);
}

std::string_view word_of(CircleKind kind) {
    switch (kind) {
        case CircleKind::desk:
            return "desk";
        case CircleKind::path:
            return "path";
        case CircleKind::club:
            break;
    }
    return "club";
}

std::string_view word_of(domain::StatementKind kind) {
    using enum domain::StatementKind;
    switch (kind) {
        case tick:
            return "tick";
        case untick:
            return "untick";
        case sign:
            return "sign";
        case withdraw:
            return "withdraw";
        case assign:
            return "assign";
        case skip:
            return "skip";
        case rest:
            return "rest";
        case reopen:
            break;
    }
    return "reopen";
}

// A name for every member seen in any circle.
using NameList = std::map<MemberId, std::string>;
std::string name_in(const NameList& names, const MemberId& id) {
    const auto found = names.find(id);
    return found == names.end() ? "" : found->second;
}

Result<PlainFile> members_table(Context& context, NameList& names, ExportCounts& counts) {
    PlainFile out{"members.csv", csv_line({"circle", "circle_kind", "circle_id", "name", "member_id", "role", "level",
                                           "under_18", "call_sign", "locator", "zone", "licence_class", "room",
                                           "topics", "bands", "times", "resting"})};
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        TRY(const auto persons, people(context.db, circle.id));
        for (const PersonView& p : persons) {
            names[p.id] = p.name;
            const CardBody card = p.card.value_or(CardBody{});
            out.text +=
                csv_line({circle.name, std::string(word_of(circle.kind)), hex(circle.id), p.name, hex(p.id),
                          std::string(role_word(p.role)), std::to_string(p.level), yes_no(p.is_minor), card.call_sign,
                          card.locator, card.zone, card.licence_class, std::to_string(card.room), joined(card.topics),
                          joined(card.bands), times_of(card.windows), yes_no(card.resting)});
            counts.members += 1;
        }
    }
    return out;
}

void add_items(const Context& context, const WayView& way, std::string& table, ExportCounts& counts) {
    for (const domain::Item& item : context.edition.items) {
        const domain::ItemState& state = domain::state_of(way.states, item.id);
        const auto& signature = state.signature;
        table += csv_line({way.owner.name, hex(way.circle.id), domain::to_text(item.id), item.text,
                           std::string(domain::to_word(state.phase)), state.tick ? to_iso(state.tick->day) : "",
                           state.tick ? state.tick->text : "", signature ? to_iso(signature->day) : "",
                           signature ? hex(signature->author) : "", std::string(domain::to_word(state.signed_level())),
                           signature ? signature->text : ""});
        counts.items += 1;
    }
}

Result<void> add_statements(Context& context, const WayView& way, const NameList& names, std::string& table,
                            ExportCounts& counts) {
    TRY(const auto all, statements(context.db, way.circle.id));
    for (const domain::Statement& s : all) {
        table += csv_line({way.owner.name, hex(way.circle.id), domain::to_text(s.item), std::string(word_of(s.kind)),
                           std::string(domain::to_word(s.level)), to_iso(s.day), to_iso_second(s.said),
                           name_in(names, to_protocol(s.author)), hex(s.author), std::string(domain::to_word(s.role)),
                           s.text, hex(s.id)});
        counts.statements += 1;
    }
    return ok();
}

void add_contacts(const WayView& way, std::string& table, std::vector<domain::LogEntry>& log, ExportCounts& counts) {
    for (const ContactView& v : way.contacts) {
        const ContactBody& c = v.contact;
        table += csv_line({way.owner.name, to_iso_second(c.start), c.worked, c.station, c.operated_by, c.frequency,
                           c.band, c.mode, c.sent, c.received, c.locator, c.comment, hex(v.by), hex(v.id)});
        log.push_back(log_entry(c, way.call_sign));
        counts.contacts += 1;
    }
}

void add_meetings(const WayView& way, const NameList& names, WallTime now, std::string& table,
                  std::vector<CalendarEntry>& entries, ExportCounts& counts) {
    for (const MeetingView& v : way.meetings) {
        const MeetBody& m = v.meeting;
        const MemberId helper = helper_id_of(way, v);
        const std::string with = name_in(names, helper);
        const std::string outcome(outcome_word(v, now));
        table += csv_line({way.owner.name, to_iso_second(m.start), with, hex(helper), m.first_frequency,
                           m.second_frequency, m.mode, m.fallback, m.words, outcome, hex(v.by), hex(v.id)});
        entries.push_back(calendar_entry(way, v, now));
        counts.meetings += 1;
    }
}

Result<std::vector<WayView>> all_ways(Context& context) {
    TRY(auto out, ways_of_others(context));
    TRY(auto former, ways_gone_from(context));
    std::move(former.begin(), former.end(), std::back_inserter(out));
    const auto own = own_circle(context, CircleKind::path);
    if (!own && own.error().fault() == Fault::not_found) return out;  // a mentor walks none
    if (!own) return own.error();
    TRY(WayView mine, way_of(context, own.value()));
    out.insert(out.begin(), std::move(mine));
    return out;
}

Result<void> way_tables(Context& context, const NameList& names, std::vector<PlainFile>& out, ExportCounts& counts) {
    std::string items = csv_line({"newcomer", "circle_id", "item", "text", "phase", "ticked_on", "evidence",
                                  "signed_on", "signed_by", "level", "witnessed"});
    std::string said = csv_line({"newcomer", "circle_id", "item", "what", "level", "day", "said", "author", "author_id",
                                 "role", "text", "event"});
    std::string contacts = csv_line({"newcomer", "start", "worked", "station", "operated_by", "frequency_mhz", "band",
                                     "mode", "sent", "received", "locator", "comment", "author_id", "event"});
    std::string meetings = csv_line({"newcomer", "start", "with", "with_id", "first_mhz", "second_mhz", "mode",
                                     "fallback", "words", "outcome", "author_id", "event"});
    std::vector<domain::LogEntry> log;
    std::vector<CalendarEntry> entries;
    TRY(const auto ways, all_ways(context));
    for (const WayView& way : ways) {
        add_items(context, way, items, counts);
        TRY(add_statements(context, way, names, said, counts));
        add_contacts(way, contacts, log, counts);
        add_meetings(way, names, context.now(), meetings, entries, counts);
    }
    counts.ways = ways.size();
    out.push_back({"ways.csv", std::move(items)});
    out.push_back({"statements.csv", std::move(said)});
    out.push_back({"contacts.csv", std::move(contacts)});
    out.push_back({"contacts.adi", domain::write_adi({"Ladderline", "", context.now()}, log)});
    out.push_back({"meetings.csv", std::move(meetings)});
    out.push_back({"meetings.ics", calendar(entries, context.now())});
    return ok();
}

Result<PlainFile> pools_table(Context& context, ExportCounts& counts) {
    PlainFile out{"pools.csv", csv_line({"element", "title", "edition", "questions", "valid_from", "valid_until"})};
    TRY(const auto all, pools(context));
    for (const PoolSummary& pool : all) {
        out.text += csv_line({std::to_string(pool.element), pool.title, pool.edition, std::to_string(pool.questions),
                              text_of(pool.valid_from), text_of(pool.valid_until)});
        counts.pools += 1;
    }
    return out;
}

Result<PlainFile> club_rows_table(Context& context, ExportCounts& counts) {
    PlainFile out{"club_rows.csv", csv_line({"club", "member_id", "said", "name", "call_sign", "stage", "stage_since",
                                             "last_milestone", "last_contact", "last_touch", "mentor_id", "help_topic",
                                             "help_since", "resting", "under_18", "consent_until"})};
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind != CircleKind::club) continue;
        TRY(const auto writes, shown(context.db, circle.id, kind::club_row));
        for (const ShownView& write : writes) {
            const auto row = read_payload<ClubRowBody>(write.payload);
            if (!row || row->consent_until < context.today()) continue;  // a consent that is over is over here too
            out.text += csv_line({circle.name, hex(write.by), to_iso_second(write.said), row->name, row->call_sign,
                                  row->stage, text_of(row->stage_since), text_of(row->last_milestone),
                                  text_of(row->last_contact), text_of(row->last_touch),
                                  row->mentor ? hex(*row->mentor) : "", row->help_topic, text_of(row->help_since),
                                  yes_no(row->resting), yes_no(row->is_minor), to_iso(row->consent_until)});
            counts.club_rows += 1;
        }
    }
    return out;
}

Result<PlainFile> stations_table(Context& context, ExportCounts& counts) {
    PlainFile out{"stations.csv", csv_line({"name", "antenna", "place", "mhz", "watt", "mode", "on_min", "off_min",
                                            "loss_db", "gain_dbi", "reflection", "people_m", "height_m", "worked_on",
                                            "informed_m", "anybody_m", "look_again"})};
    TRY(const auto all, stations(context));
    for (const StationView& view : all) {
        const StationSheet& s = view.now;
        const domain::Transmission& t = s.transmission;
        std::string reasons;
        for (const std::string& reason : view.look_again) reasons += (reasons.empty() ? "" : " ") + reason;
        out.text += csv_line({s.name, s.antenna, s.place, figure(t.frequency_mhz), figure(t.peak_w), s.mode,
                              figure(t.on_min), figure(t.off_min), figure(t.loss_db), figure(t.gain_dbi),
                              figure(t.reflection), figure(s.distance_m), s.height_m ? figure(*s.height_m) : "",
                              view.worked ? to_iso(view.worked_on) : "",
                              view.worked ? figure(view.worked->informed.least_distance_m) : "",
                              view.worked ? figure(view.worked->anybody.least_distance_m) : "", reasons});
        counts.stations += 1;
    }
    return out;
}

}  // namespace

Result<std::vector<PlainFile>> export_tables(Context& context, ExportCounts& counts) {
    std::vector<PlainFile> out;
    NameList names;
    TRY(PlainFile members, members_table(context, names, counts));
    out.push_back(std::move(members));
    TRY(way_tables(context, names, out, counts));
    TRY(PlainFile pools, pools_table(context, counts));
    out.push_back(std::move(pools));
    TRY(PlainFile rows, club_rows_table(context, counts));
    out.push_back(std::move(rows));
    TRY(PlainFile sheets, stations_table(context, counts));
    out.push_back(std::move(sheets));
    return out;
}

std::string notes_header() {
    return csv_line({"said", "author_id", "circle_id", "text", "event"});
}

std::size_t add_note(const store::OpenedEvent& event, const std::string& author, std::string& table) {
    if (event.body.kind != kind::note) return 0;
    const auto note = read_payload<NoteBody>(event.body.payload);
    if (!note) return 0;
    table += csv_line({to_iso_second(event.body.time.wall), author, hex(event.circle), note->text, hex(event.id)});
    return 1;
}

std::string answers_header() {
    return csv_line({"when", "pool", "question", "answer", "shown", "place", "event"});
}

std::size_t add_answer(const store::OpenedEvent& event, std::string& table) {
    std::vector<PracticeAnswerBody> answers;
    if (event.body.kind == kind::practice_answer) {
        if (auto one = read_payload<PracticeAnswerBody>(event.body.payload)) answers.push_back(std::move(*one));
    }
    if (event.body.kind == kind::mock_result) {
        const auto paper = read_payload<MockResultBody>(event.body.payload);
        if (!paper) return 0;
        for (const MockAnswer& one : paper->answers) {
            answers.push_back({paper->pool, one.question, one.answer, one.shown, one.place, paper->when});
        }
    }
    for (const PracticeAnswerBody& one : answers) {
        const char* word = one.answer == Answer::right ? "right" : one.answer == Answer::wrong ? "wrong" : "unknown";
        table += csv_line({to_iso_second(one.when), one.pool, one.question, word, one.shown, std::to_string(one.place),
                           hex(event.id)});
    }
    return answers.size();
}

}  // namespace ladderline::node
