// The contact log on the command line.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <set>
#include <utility>

#include "node/cli/command_line.hpp"
#include "node/commands/confirmed.hpp"
#include "node/commands/contact_changes.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/commands/contact_lines.hpp"
#include "node/commands/log_files.hpp"
#include "node/commands/log_sheet.hpp"
#include "node/commands/milestones.hpp"
#include "node/commands/named_files.hpp"
#include "node/domain/rules/continents.hpp"

namespace ladderline::node::cli {
namespace {

using boost::json::array;
using boost::json::object;

struct ContactOptions {
    ContactRequest request;
    std::string at;
    std::string from_adi;
    std::string to_adi;
    std::string to_csv;
    std::string net;
    std::string amend;
    std::string strike;
    std::string reason;
    std::string history;
    std::string html;
    std::string tick;
    bool begin = false;
    bool end = false;
    bool drop = false;
    bool sheet = false;
    bool struck = false;
    bool milestones = false;
    std::set<std::string> typed_names;  // of options that can be changed

    bool typed(const char* option) const { return typed_names.contains(option); }
};

std::string short_id(const protocol::EventId& id) {
    return to_hex(id.view()).substr(0, 8);
}

std::string counted(std::size_t count, const char* one, const char* many) {
    return std::to_string(count) + " " + (count == 1 ? one : many);
}

std::string name_of_fields(const std::vector<std::string>& names) {
    std::string out;
    for (const std::string& name : names) out += (out.empty() ? "" : ", ") + name;
    return out;
}

Result<Answer> do_import(Context& context, const ContactOptions& o) {
    TRY(const std::string text, read_named_file(o.from_adi));
    TRY(const ImportedLog log, import_adi(context, {text, o.request.guest_of, o.request.another}));
    std::vector<std::string> said{std::to_string(log.added) + " contacts written down, " + std::to_string(log.known) +
                                  " were known, " + std::to_string(log.left_out.size()) + " left out."};
    if (log.as_guest > 0) said.push_back(std::to_string(log.as_guest) + " of them as somebody's guest.");
    if (!log.unused_fields.empty()) {
        said.push_back("There is no place here for " + name_of_fields(log.unused_fields) +
                       "; keep the file for those.");
    }
    array left_out;
    for (const std::string& sentence : log.left_out) {
        said.push_back("- " + sentence);
        left_out.push_back(boost::json::value(sentence));
    }
    for (const std::string& sentence : log.shortened) said.push_back("- " + sentence);
    return Answer{lines(said),
                  {{"added", log.added},
                   {"known", log.known},
                   {"as_guest", log.as_guest},
                   {"left_out", std::move(left_out)},
                   {"shortened", boost::json::value_from(log.shortened)},
                   {"unused_fields", boost::json::value_from(log.unused_fields)}}};
}

Result<Answer> do_files(Context& context, const ContactOptions& o) {
    TRY(const LogFiles files, own_log_files(context));
    std::vector<std::string> said;
    const auto keep = [&](const std::string& file, const std::string& text) -> Result<void> {
        if (file.empty()) return ok();
        TRY(write_named_file(file, text));
        said.push_back("Written: " + file + ", " + std::to_string(files.contacts) + " contacts. It is not encrypted.");
        return ok();
    };
    TRY(keep(o.to_adi, files.adi));
    TRY(keep(o.to_csv, files.csv));
    if (!o.to_adi.empty() && files.changed_characters > 0) {
        said.push_back("The ADI form has room for plain letters only; " + std::to_string(files.changed_characters) +
                       " texts have a '?' in the place of others. The table has them whole.");
    }
    return Answer{lines(said), {{"contacts", files.contacts}, {"changed_texts", files.changed_characters}}};
}

Result<Answer> do_lines(Context& context, const ContactOptions& o) {
    LinesRequest request;
    TRY(request.text, read_named_file(o.net));
    request.who = o.request.who;
    request.start = context.now();
    if (!o.at.empty()) {
        TRY(request.start, parse_utc(o.at));
    }
    request.frequency = o.request.frequency;
    request.band = o.request.band;
    request.mode = o.request.mode;
    request.guest_of = o.request.guest_of;
    request.comment = o.request.comment;
    request.another = o.request.another;
    TRY(const LinesTaken done, log_lines(context, request));
    if (done.taken == 0) {
        return Error{Fault::bad_input, "Nothing was written down. Line " + std::to_string(done.left.front().number) +
                                           ": " + done.left.front().sentence};
    }
    std::vector<std::string> said{counted(done.taken, "contact", "contacts") + " written down, " +
                                  counted(done.left.size(), "line", "lines") + " left out."};
    array left;
    for (const LineLeft& line : done.left) {
        said.push_back("- Line " + std::to_string(line.number) + ": " + line.sentence);
        left.push_back({{"line", line.number}, {"text", line.line}, {"sentence", line.sentence}});
    }
    return Answer{lines(said), {{"added", done.taken}, {"left_out", std::move(left)}}};
}

// What does not agree, for people to look at.
void add_other_logs(std::vector<std::string>& text, const std::vector<OtherLog>& others) {
    const auto place_of = [](const protocol::ContactBody& c) { return to_iso_minute(c.start) + "  " + where_words(c); };
    for (const OtherLog& log : others) {
        const std::string clocks = clock_words(log);
        if (!clocks.empty()) text.push_back(clocks);
        for (const OtherLog::Pair& pair : log.pairs) {
            if (!pair.differs) continue;
            text.push_back("Almost the same, but " + difference_words(*pair.differs) + ": " +
                           place_of(pair.own.contact) + "  and, with " + log.person.name + ", " +
                           place_of(pair.theirs.contact));
        }
        for (const ContactView& view : log.only_theirs) {
            text.push_back("Only in " + log.person.name + "'s log: " + place_of(view.contact));
        }
    }
}

object json_of(const ContactView& c) {
    array history;
    for (const HistoryLine& line : history_lines(c)) {
        history.push_back({{"said", to_iso_second(line.said)}, {"words", line.words}});
    }
    return {{"id", to_hex(c.id.view())},
            {"start", to_iso_minute(c.contact.start)},
            {"worked", c.contact.worked},
            {"country", domain::country_of_call(c.contact.worked).value_or("")},
            {"continent", domain::continent_of_call(c.contact.worked).value_or("")},
            {"station", c.contact.station},
            {"guest_of", c.contact.operated_by},
            {"frequency", c.contact.frequency},
            {"band", c.contact.band},
            {"mode", c.contact.mode},
            {"sent", c.contact.sent},
            {"received", c.contact.received},
            {"locator", c.contact.locator},
            {"comment", c.contact.comment},
            {"history", std::move(history)}};
}

std::string line_of(const ContactView& c) {
    const auto country = domain::country_of_call(c.contact.worked);
    return short_id(c.id) + "  " + to_iso_minute(c.contact.start) + "  " + c.contact.worked + " (" +
           country.value_or("country not known") + ")  " + where_words(c.contact) +
           (c.contact.operated_by.empty() ? "" : "  as guest of " + c.contact.operated_by);
}

// What whoever looks wrote down as their own side of contacts with the path's owner: by the id they change it.
void add_own_sides(const Context& context, const WayView& view, const std::vector<OtherLog>& others,
                   std::vector<std::string>& text, array& json) {
    const auto agrees = [&](const ContactView& side) {
        return std::any_of(others.begin(), others.end(), [&](const OtherLog& log) {
            return std::any_of(log.pairs.begin(), log.pairs.end(),
                               [&](const OtherLog::Pair& pair) { return pair.theirs.id == side.id && !pair.differs; });
        });
    };
    bool is_first = true;
    for (const ContactView& c : view.other_sides) {
        if (c.by != context.me.id()) continue;
        if (std::exchange(is_first, false)) text.push_back("Your side of contacts with " + view.owner.name + ":");
        const std::string by = agrees(c) ? view.owner.name : std::string();
        text.push_back("  " + line_of(c) + (c.history.empty() ? "" : "  [changed]") +
                       (by.empty() ? "" : "  [" + by + "'s log agrees]"));
        object one = json_of(c);
        one["confirmed_by"] = by;
        one["own_side"] = true;
        json.push_back(std::move(one));
    }
}

Result<Answer> list_contacts(Context& context, const ContactOptions& o) {
    TRY(const WayView view, way(context, o.request.who));
    std::vector<std::string> text;
    array json;
    if (o.struck) {
        for (const ContactView& c : view.struck) {
            text.push_back(line_of(c) + "  [struck out]");
            json.push_back(json_of(c));
        }
        if (text.empty()) text.emplace_back("No contact is struck out.");
        return Answer{lines(text), std::move(json)};
    }
    const auto others = other_logs(view);
    for (const ContactView& c : view.contacts) {
        const std::string by = confirmed_by(others, c.id);
        text.push_back(line_of(c) + (c.history.empty() ? "" : "  [changed]") +
                       (by.empty() ? "" : "  [" + by + "'s log agrees]"));
        object one = json_of(c);
        one["confirmed_by"] = by;
        json.push_back(std::move(one));
    }
    add_other_logs(text, others);
    add_own_sides(context, view, others, text, json);
    if (!view.struck.empty()) {
        text.push_back(std::to_string(view.struck.size()) + " struck out; contact --struck shows them.");
    }
    TRY(const auto running, running_contact(context));
    if (running && o.request.who.empty()) {
        text.push_back("Running since " + to_iso_minute(running->request.start) + " with " + running->request.worked +
                       "; contact --end writes it down.");
    }
    if (text.empty())
        text.emplace_back("No contact is written down yet. The first one is best arranged: ladderline meet.");
    return Answer{lines(text), std::move(json)};
}

Result<Answer> show_history(Context& context, const ContactOptions& o) {
    TRY(const WayView view, way(context, o.request.who));
    for (const auto* all : {&view.contacts, &view.other_sides, &view.struck}) {
        for (const ContactView& c : *all) {
            if (!to_hex(c.id.view()).starts_with(o.history)) continue;
            std::vector<std::string> text{line_of(c) + (c.struck ? "  [struck out]" : "")};
            for (const HistoryLine& line : history_lines(c)) {
                text.push_back("  " + to_iso_minute(line.said) + "  " + line.words);
            }
            if (c.history.empty()) text.emplace_back("  It stands as it was written down.");
            return Answer{lines(text), json_of(c)};
        }
    }
    return Error{Fault::not_found,
                 "There is no contact '" + o.history + "' in this log; the list shows what each begins with."};
}

// What was typed takes the place of what stands there; an empty text takes it away.
Result<Answer> do_amend(Context& context, const ContactOptions& o) {
    TRY(const OwnContact own, own_contact(context, o.request.who, o.amend));
    ContactRequest to = change_of(own.view);
    to.who = o.request.who;
    to.another = o.request.another;
    if (o.typed("worked")) to.worked = o.request.worked;
    if (o.typed("--at")) {
        TRY(to.start, parse_utc(o.at));
    }
    if (o.typed("--mhz")) to.frequency = o.request.frequency;
    if (o.typed("--band")) {
        to.band = o.request.band;
        if (!o.typed("--mhz")) to.frequency.clear();
    }
    if (o.typed("--mode")) to.mode = o.request.mode;
    if (o.typed("--sent")) to.sent = o.request.sent;
    if (o.typed("--received")) to.received = o.request.received;
    if (o.typed("--guest-of")) to.guest_of = o.request.guest_of;
    if (o.typed("--locator")) to.locator = o.request.locator;
    if (o.typed("--comment")) to.comment = o.request.comment;
    TRY(const Done done, amend_contact(context, o.amend, to));
    return answer_of(done);
}

Result<Answer> do_sheet(Context& context, const ContactOptions& o) {
    const auto view = way(context, "");
    const std::string call = view ? view.value().call_sign : "";
    if (!o.html.empty()) {
        TRY(const Done done, write_page(o.html, sheet_page_blank(call)));
        return answer_of(done);
    }
    return Answer{lines(sheet_lines_blank(call)),
                  {{"columns", boost::json::value_from(sheet_columns())}, {"rows", sheet_rows}}};
}

Result<Answer> list_milestones(Context& context, const ContactOptions& o) {
    TRY(const WayView view, way(context, o.request.who));
    std::vector<std::string> text;
    array json;
    for (const Milestone& one : milestones(context, view)) {
        const std::string item = one.item == nullptr ? "" : domain::to_text(one.item->id);
        std::string line = one.words + ": " + contact_words(one.contact.contact);
        if (!one.known_by.empty()) line += ". Known because " + one.known_by;
        if (!one.only_you.empty()) line += ". Only you know " + one.only_you;
        if (one.can_be_ticked) line += ". Tick it: contact --tick " + item;
        if (!one.can_be_ticked && !item.empty()) line += ". " + item + " is " + std::string(domain::to_word(one.phase));
        text.push_back(line + ".");
        json.push_back({{"words", one.words},
                        {"item", item},
                        {"contact", to_hex(one.contact.id.view())},
                        {"known_by", one.known_by},
                        {"only_you", one.only_you},
                        {"can_be_ticked", one.can_be_ticked}});
    }
    if (text.empty()) text.emplace_back("The log shows no milestone yet.");
    return Answer{lines(text), std::move(json)};
}

Result<Answer> do_write(Context& context, const ContactOptions& o) {
    ContactRequest request = o.request;
    if (o.end || o.drop) {
        TRY(const Done done, o.end ? end_contact(context, request) : drop_contact(context));
        return answer_of(done);
    }
    if (o.begin) {
        TRY(const Done done, begin_contact(context, request));
        return answer_of(done);
    }
    if (o.at.empty()) return Error{Fault::bad_input, "Say when it began: --at 2026-11-25T19:30Z."};
    TRY(request.start, parse_utc(o.at));
    TRY(const Done done, log_contact(context, request));
    return answer_of(done);
}

Result<Answer> do_contact(Context& context, const ContactOptions& o) {
    if (!o.from_adi.empty()) return do_import(context, o);
    if (!o.to_adi.empty() || !o.to_csv.empty()) return do_files(context, o);
    if (!o.net.empty()) return do_lines(context, o);
    if (!o.amend.empty()) return do_amend(context, o);
    if (!o.strike.empty()) {
        TRY(const Done done, strike_contact(context, o.request.who, o.strike, o.reason));
        return answer_of(done);
    }
    if (!o.history.empty()) return show_history(context, o);
    if (!o.tick.empty()) {
        TRY(const Done done, tick_milestone(context, o.tick));
        return answer_of(done);
    }
    if (o.sheet) return do_sheet(context, o);
    if (o.milestones) return list_milestones(context, o);
    if (o.request.worked.empty() && !o.end && !o.drop) return list_contacts(context, o);
    return do_write(context, o);
}

void add_words_of_one(CLI::App& sub, ContactOptions& o) {
    sub.add_option("worked", o.request.worked, "The other station's call sign; the list without it");
    sub.add_option("--for", o.request.who, "The newcomer whose path it belongs on; your own without it");
    sub.add_option("--at", o.at, "Start in UTC, as 2026-11-25T19:30Z");
    sub.add_option("--mhz", o.request.frequency, "Frequency in MHz");
    sub.add_option("--band", o.request.band, "Band, if the frequency is not known");
    sub.add_option("--mode", o.request.mode, "FM, SSB, CW ...");
    sub.add_option("--sent", o.request.sent, "Report sent");
    sub.add_option("--received", o.request.received, "Report received");
    sub.add_option("--guest-of", o.request.guest_of, "Call sign of the licensed operator in control");
    sub.add_option("--locator", o.request.locator, "The other station's locator");
    sub.add_option("--comment", o.request.comment, "A few words");
    sub.add_flag("--another", o.request.another, "It is another contact, though one in the log looks the same");
    sub.add_flag("--begin", o.begin, "It begins now; written down when it ends");
    sub.add_flag("--end", o.end, "The running contact ends now");
    sub.add_flag("--drop", o.drop, "Nothing came of the running contact");
}

}  // namespace

void add_log_commands(CLI::App& app, CommandLine& out) {
    auto* sub =
        app.add_subcommand("contact", "Write contacts down, change them, read and write log files, or see them");
    auto o = std::make_shared<ContactOptions>();
    const auto here = [folder = out.folder](const std::string& name) { return (folder / name).string(); };
    add_words_of_one(*sub, *o);
    sub->add_option("--from-adi", o->from_adi, "Take in a log file in ADI form")->transform(here);
    sub->add_option("--to-adi", o->to_adi, "Write the own log into a file in ADI form")->transform(here);
    sub->add_option("--to-csv", o->to_csv, "Write the own log into a table with commas")->transform(here);
    sub->add_option("--net", o->net,
                    "Take in a file with one contact a line: [1905] CALL [MHz] [mode] [59 57] [remark]")
        ->transform(here);
    sub->add_option("--amend", o->amend, "Change a contact: first digits of its id, and what is to be different");
    sub->add_option("--strike", o->strike, "Strike a contact out: first digits of its id");
    sub->add_option("--reason", o->reason, "Why it is struck out");
    sub->add_option("--history", o->history, "What was said about a contact: first digits of its id");
    sub->add_flag("--struck", o->struck, "The contacts that are struck out");
    sub->add_flag("--milestones", o->milestones, "What the log shows of the way");
    sub->add_option("--tick", o->tick, "Tick the item of a milestone that the log shows, as 10.11");
    sub->add_flag("--sheet", o->sheet, "A blank log sheet to print");
    sub->add_option("--html", o->html, "Write the sheet as a page for a browser's printer")->transform(here);
    sub->callback([&out, o, sub] {
        for (const char* name : {"worked", "--at", "--mhz", "--band", "--mode", "--sent", "--received", "--guest-of",
                                 "--locator", "--comment"}) {
            if (sub->count(name) > 0) o->typed_names.insert(name);
        }
        out.command = [o](Context& context) { return do_contact(context, *o); };
    });
}

}  // namespace ladderline::node::cli
