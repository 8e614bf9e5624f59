#include "node/commands/contacts.hpp"

#include <algorithm>

#include "node/commands/club_row.hpp"
#include "node/domain/licence/call_sign.hpp"
#include "node/domain/radio/adif.hpp"
#include "node/domain/radio/locator.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

Result<void> check_frequency(const std::string& text) {
    if (text.empty()) return ok();
    TRY(domain::parse_megahertz(text));
    return ok();
}

Result<void> fits(const std::string& text, std::size_t bytes_max, std::string_view what) {
    if (text.size() <= bytes_max) return ok();
    return Error{Fault::bad_input, "The " + std::string(what) + " is too long; keep it short."};
}

std::string band_name(const std::string& frequency, const std::string& band) {
    if (!frequency.empty()) {
        const auto hertz = domain::parse_megahertz(frequency);
        const domain::Band* found = hertz ? domain::band_of(hertz.value()) : nullptr;
        if (found != nullptr) return std::string(found->name);
    }
    const domain::Band* named = domain::find_band(band);
    return named != nullptr ? std::string(named->name) : std::string();
}

Result<ContactBody> body_of(const ContactRequest& request, const WayView& view) {
    ContactBody body;
    TRY(const auto worked, domain::split_call(request.worked));
    if (worked.base.find_first_of("0123456789") == std::string::npos) {
        return Error{Fault::bad_input, "'" + request.worked + "' is no call sign: every call sign has a digit."};
    }
    body.worked = worked.base;
    body.start = request.start;
    body.operated_by = request.guest_of;
    body.station = request.guest_of.empty() ? view.call_sign : request.guest_of;
    TRY(check_frequency(request.frequency));
    body.frequency = request.frequency;
    body.band = band_name(request.frequency, request.band);
    if (body.band.empty())
        return Error{Fault::bad_input, "Say the frequency in MHz (--mhz 146.52) or the band (--band 2m)."};
    body.mode = domain::normal_mode(request.mode).mode;
    if (body.mode.empty()) return Error{Fault::bad_input, "Say the mode: --mode FM, SSB, CW or another."};
    body.sent = request.sent;
    body.received = request.received;
    if (!request.locator.empty()) {
        TRY(const auto locator, domain::Locator::parse(request.locator));
        body.locator = locator.text();
    }
    body.comment = request.comment;
    for (const std::string* text :
         {&body.worked, &body.station, &body.operated_by, &body.frequency, &body.mode, &body.sent, &body.received}) {
        TRY(fits(*text, limits::call_bytes_max, "call sign, frequency, mode or report"));
    }
    TRY(fits(body.comment, limits::line_bytes_max, "comment"));
    return body;
}

Result<void> has_come(Context& context, WallTime start) {
    constexpr std::int64_t ahead_ms_max = 86'400'000;  // clocks and time zones of people differ
    if (start.ms <= context.now().ms + ahead_ms_max) return ok();
    return Error{Fault::bad_input, to_iso_minute(start) + " has not come yet; nothing was written down."};
}

// Gate 2, whoever asks and whichever way the contact comes in.
Result<void> gate(const ContactRequest& request, const WayView& view) {
    if (request.guest_of.empty() && view.call_sign.empty()) {
        return Error{Fault::refused,
                     "Nothing was written down: sending under an own call sign waits until it stands in the public "
                     "register. Tick 04.06 when it does, or say whose guest you were."};
    }
    const domain::OnAirAs as = request.guest_of.empty()
                                   ? domain::OnAirAs{domain::UnderOwnCall{view.call_sign}}
                                   : domain::OnAirAs{domain::AsGuest{request.guest_of, request.guest_of}};
    return domain::grant_visible(as, domain::state_of(view.states, domain::known_item::grant_visible),
                                 utc_day(request.start));
}

bool is_same(const ContactBody& a, const ContactBody& b) {
    return a.worked == b.worked && a.start.ms / 60'000 == b.start.ms / 60'000 && a.band == b.band && a.mode == b.mode;
}

}  // namespace

Result<Done> log_contact(Context& context, const ContactRequest& request) {
    TRY(const WayView view, way(context, request.who));
    TRY(has_come(context, request.start));
    const bool is_ours = is_other_side(view, context.me.id(), request.worked);
    if (!is_ours) {
        TRY(gate(request, view));
    }
    TRY(ContactBody body, body_of(request, view));
    if (is_ours) {
        TRY(const PersonView self, myself(context, view.circle.id));
        if (!self.card || self.card->call_sign.empty()) {
            return Error{Fault::bad_input,
                         "Nothing was written down: your side of a contact with " + view.owner.name +
                             " needs your call sign, so put it on your card first (ladderline card --call SIGN)."};
        }
        body.station = self.card->call_sign;
        body.operated_by.clear();
    }
    TRY(const EventId id, say(context, view.circle.id, kind::contact, codec::encode(body)));
    TRY(refresh_club_row(context));
    return Done{"Written down: " + body.worked + ", " + to_iso_minute(body.start) + ", " +
                    (body.frequency.empty() ? body.band : body.frequency + " MHz") + " " + body.mode + ".",
                id};
}

Result<ImportedLog> import_adi(Context& context, std::string_view text, std::string_view guest_of) {
    TRY(const WayView view, way(context, ""));
    const domain::Log log = domain::read_log(text);
    ImportedLog out;
    for (const domain::AdifProblem& problem : log.problems) out.left_out.push_back(problem.sentence);
    if (log.entries.empty()) {
        return Error{Fault::bad_input, out.left_out.empty() ? "The file holds no contact; nothing was taken in."
                                                            : "Nothing was taken in. " + out.left_out.front()};
    }
    std::vector<ContactBody> have;
    for (const ContactView& c : view.contacts) have.push_back(c.contact);
    std::vector<store::NewEvent> events;
    for (const domain::LogEntry& entry : log.entries) {
        ContactRequest request{"",
                               entry.call,
                               entry.start,
                               "",
                               "",
                               entry.mode.mode,
                               entry.rst_sent,
                               entry.rst_received,
                               std::string(guest_of),
                               entry.gridsquare,
                               entry.comment};
        if (entry.frequency_hz) request.frequency = domain::to_megahertz(*entry.frequency_hz);
        if (entry.band != nullptr) request.band = entry.band->name;
        const auto come = has_come(context, request.start);
        const auto gated = come ? gate(request, view) : come;
        const auto body = gated ? body_of(request, view) : Result<ContactBody>(gated.error());
        if (!body) {
            out.left_out.push_back(entry.call + " " + to_iso_minute(entry.start) + ": " + body.error().sentence());
            continue;
        }
        const bool known =
            std::any_of(have.begin(), have.end(), [&](const ContactBody& c) { return is_same(c, body.value()); });
        if (known) {
            out.known += 1;
            continue;
        }
        have.push_back(body.value());
        events.push_back({view.circle.id, kind::contact, codec::encode(body.value()), {}});
    }
    if (events.empty() && out.known == 0) return Error{Fault::refused, "Nothing was taken in. " + out.left_out.front()};
    TRY(context.log.append(events, context.now()));
    out.added = events.size();
    context.news(view.circle.id);
    TRY(refresh_club_row(context));
    return out;
}

}  // namespace ladderline::node
