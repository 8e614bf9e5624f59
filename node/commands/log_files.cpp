#include "node/commands/log_files.hpp"

#include <algorithm>
#include <map>

#include "node/commands/club_row.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/commands/own_calls.hpp"
#include "node/commands/plain_text.hpp"
#include "node/domain/radio/locator.hpp"
#include "node/domain/rules/call_series.hpp"
#include "node/domain/rules/call_sign.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

// As whose guest a record was made; empty for an own call sign, and where nothing tells.
std::string host_of(const domain::LogEntry& entry, const WayView& view, const OwnCalls& calls) {
    if (view.call_sign.empty() || entry.station_callsign.empty()) return {};
    const auto station = domain::split_call(entry.station_callsign);
    if (!station || calls.has(entry.station_callsign)) return {};
    return station.value().base;
}

ContactRequest request_of(const domain::LogEntry& entry, const WayView& view, const OwnCalls& calls,
                          const ImportRequest& asked) {
    ContactRequest out;
    out.worked = entry.call;
    out.start = entry.start;
    if (entry.frequency_hz) out.frequency = domain::to_megahertz(*entry.frequency_hz);
    if (entry.band != nullptr) out.band = entry.band->name;
    out.mode = domain::finest_name(entry.mode);
    out.sent = entry.rst_sent;
    out.received = entry.rst_received;
    out.guest_of = asked.guest_of.empty() ? host_of(entry, view, calls) : asked.guest_of;
    if (domain::Locator::parse(entry.gridsquare)) out.locator = entry.gridsquare;
    out.comment = entry.comment;
    return out;
}

// What of the record the contact has no place for.
std::vector<std::string> lost_of(const domain::LogEntry& entry, const ContactBody& body) {
    std::vector<std::string> out;
    if (!entry.mode.submode.empty() && domain::normal_mode(body.mode) != entry.mode) {
        out.push_back("kept as " + body.mode + "; there is no place here for " + entry.mode.submode + ".");
    }
    const auto locator = domain::Locator::parse(entry.gridsquare);
    if (!entry.gridsquare.empty() && !locator) {
        out.push_back("kept without its locator. " + locator.error().sentence());
    }
    return out;
}

Result<void> store_all(Context& context, const CircleId& circle, const std::vector<store::NewEvent>& events) {
    constexpr std::size_t at_once = 500;
    for (std::size_t done = 0; done < events.size(); done += at_once) {
        if (context.going_on && !context.going_on(done, events.size())) {
            return Error{Fault::cancelled, "Stopped: " + std::to_string(done) +
                                               " contacts were written down; read the file again for the rest."};
        }
        const auto first = events.begin() + static_cast<std::ptrdiff_t>(done);
        const auto last = events.begin() + static_cast<std::ptrdiff_t>(std::min(events.size(), done + at_once));
        TRY(context.log.append(std::vector<store::NewEvent>(first, last), context.now()));
    }
    context.news(circle);
    return ok();
}

// RFC 4180 has room for everything; the table is for people and their spreadsheets.
std::string csv_of(const std::vector<const ContactView*>& log) {
    std::string out = csv_line({"date_utc", "time_utc", "call", "country", "frequency_mhz", "band", "mode", "sent",
                                "received", "station", "guest_of", "locator", "remark"});
    for (const ContactView* view : log) {
        const ContactBody& c = view->contact;
        const std::string iso = to_iso_second(c.start);
        const auto holder = domain::holder_of_call(c.worked);
        out += csv_line({iso.substr(0, 10), iso.substr(11, 8), c.worked, holder ? holder->holder : "", c.frequency,
                         c.band, c.mode, c.sent, c.received, c.station, c.operated_by, c.locator, c.comment});
    }
    return out;
}

bool is_plain(const std::string& text) {
    return std::all_of(text.begin(), text.end(), [](char c) { return c >= 32 && c < 127; });
}

}  // namespace

Result<ImportedLog> import_adi(Context& context, const ImportRequest& asked) {
    TRY(const WayView view, way(context, ""));
    const domain::Log log = domain::read_log(asked.text);
    ImportedLog out;
    out.unused_fields = log.unused_fields;
    for (const domain::AdifProblem& problem : log.problems) out.left_out.push_back(problem.sentence);
    if (log.entries.empty()) {
        return Error{Fault::bad_input, out.left_out.empty() ? "The file holds no contact; nothing was taken in."
                                                            : "Nothing was taken in. " + out.left_out.front()};
    }
    TRY(const OwnCalls calls, own_calls(context, view));
    SameContacts have(view);
    std::vector<store::NewEvent> events;
    for (const domain::LogEntry& entry : log.entries) {
        const auto body =
            checked_contact(context, view, request_of(entry, view, calls, asked), calls.named(entry.station_callsign));
        const std::string which = entry.call + " " + to_iso_minute(entry.start) + ": ";
        const auto leave_out = [&](const std::string& sentence) { out.left_out.push_back(which + sentence); };
        if (!body) {
            leave_out(body.error().sentence());
            continue;
        }
        const auto same = have.near(body.value());
        if (have.has(body.value())) {
            out.known += 1;
        } else if (same && !asked.another) {
            leave_out(same_words(body.value(), *same) + " If it is another contact, say so (--another).");
        } else {
            have.add(body.value());
            if (!body.value().operated_by.empty()) out.as_guest += 1;
            for (const std::string& lost : lost_of(entry, body.value())) out.shortened.push_back(which + lost);
            events.push_back({view.circle.id, kind::contact, codec::encode(body.value()), {}});
        }
    }
    if (events.empty() && out.known == 0) return Error{Fault::refused, "Nothing was taken in. " + out.left_out.front()};
    TRY(store_all(context, view.circle.id, events));
    out.added = events.size();
    TRY(refresh_club_row(context));
    return out;
}

domain::LogEntry log_entry(const ContactBody& c, const std::string& own_call) {
    domain::LogEntry out;
    out.call = c.worked;
    out.start = c.start;
    if (const auto hz = domain::parse_megahertz(c.frequency)) out.frequency_hz = hz.value();
    out.band = out.frequency_hz ? domain::band_of(*out.frequency_hz) : domain::find_band(c.band);
    out.mode = domain::normal_mode(c.mode);
    out.rst_sent = c.sent;
    out.rst_received = c.received;
    out.station_callsign = c.station;
    // In the standard the operator is the person at the key. A guest without a call sign has none to write.
    if (!c.operated_by.empty()) out.operator_call = own_call;
    out.gridsquare = c.locator;
    out.comment = c.comment;
    return out;
}

Result<LogFiles> own_log_files(Context& context) {
    TRY(const WayView view, way(context, ""));
    std::vector<const ContactView*> log;
    for (const ContactView& v : view.contacts) log.push_back(&v);
    std::reverse(log.begin(), log.end());
    LogFiles out;
    out.contacts = log.size();
    std::vector<domain::LogEntry> entries;
    for (const ContactView* v : log) {
        entries.push_back(log_entry(v->contact, view.call_sign));
        const ContactBody& c = v->contact;
        for (const std::string* text : {&c.comment, &c.sent, &c.received, &c.mode}) {
            if (!is_plain(*text)) out.changed_characters += 1;
        }
    }
    out.adi = domain::write_adi({"Ladderline", "", context.now()}, entries);
    out.csv = csv_of(log);
    return out;
}

}  // namespace ladderline::node
