#include "node/commands/contact_entry.hpp"

#include <cstdlib>

#include "node/commands/meetings.hpp"
#include "node/commands/own_calls.hpp"
#include "node/commands/typed_fields.hpp"
#include "node/domain/radio/adif.hpp"
#include "node/domain/radio/locator.hpp"
#include "node/domain/rules/call_sign.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int64_t ms_per_min = 60'000;

bool has_digit(const std::string& call) {
    return call.find_first_of("0123456789") != std::string::npos;
}

Error no_call_sign(const std::string& typed) {
    return {Fault::bad_input, "'" + typed + "' is no call sign: every call sign has a digit."};
}

// As it was sent, in capitals and without blanks.
std::string text_of(const domain::SplitCall& call) {
    std::string out = call.country_prefix.empty() ? call.base : call.country_prefix + "/" + call.base;
    for (const std::string& mark : call.marks) out += "/" + mark;
    return out;
}

std::string key_of(const ContactBody& body) {
    const auto call = domain::split_call(body.worked);
    const std::string station = call ? call.value().country_prefix + "/" + call.value().base : body.worked;
    return station + " " + body.band + " " + domain::normal_mode(body.mode).mode;
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

}  // namespace

Result<ContactBody> body_of(const ContactRequest& request, const WayView& view) {
    ContactBody body;
    TRY(const auto worked, domain::split_call(request.worked));
    if (!has_digit(worked.base)) return no_call_sign(request.worked);
    body.worked = text_of(worked);
    body.start = request.start;
    body.station = view.call_sign;
    if (!request.guest_of.empty()) {
        TRY(const auto host, domain::split_call(request.guest_of));
        if (!has_digit(host.base)) return no_call_sign(request.guest_of);
        body.operated_by = text_of(host);
        body.station = body.operated_by;
    }
    TRY(check_frequency(request.frequency));
    body.frequency = request.frequency;
    body.band = band_name(request.frequency, request.band);
    if (body.band.empty())
        return Error{Fault::bad_input, "Say the frequency in MHz (--mhz 146.52) or the band (--band 2m)."};
    body.mode = domain::finest_name(domain::normal_mode(request.mode));
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
        TRY(check_length(*text, limits::call_bytes_max, "call sign, frequency, mode or report"));
    }
    TRY(check_length(body.comment, limits::line_bytes_max, "comment"));
    return body;
}

Result<void> has_come(Context& context, WallTime start) {
    if (has_begun(start, context.now())) return ok();
    return Error{Fault::bad_input, to_iso_minute(start) +
                                       " has not come yet; nothing was written down. Was it UTC, or "
                                       "is the clock of this machine behind?"};
}

Result<void> contact_gate(const ContactRequest& request, const WayView& view) {
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

ContactRequest request_of(const ContactBody& body) {
    ContactRequest out;
    out.worked = body.worked;
    out.start = body.start;
    out.frequency = body.frequency;
    out.band = body.band;
    out.mode = body.mode;
    out.sent = body.sent;
    out.received = body.received;
    out.guest_of = body.operated_by;
    out.locator = body.locator;
    out.comment = body.comment;
    return out;
}

Result<void> make_own_side(Context& context, const WayView& view, ContactBody& body) {
    TRY(const PersonView self, myself(context, view.circle.id));
    if (!self.card || self.card->call_sign.empty()) {
        return Error{Fault::bad_input,
                     "Nothing was written down: your side of a contact with " + view.owner.name +
                         " needs your call sign, so put it on your card first (ladderline card --call SIGN)."};
    }
    body.station = self.card->call_sign;
    body.operated_by.clear();
    return ok();
}

Result<ContactBody> checked_contact(Context& context, const WayView& view, const ContactRequest& request,
                                    const std::string& own_call) {
    TRY(has_come(context, request.start));
    if (context.me.id() != view.owner.id) {
        TRY(domain::group_complete(view.group, context.today()));
    }
    TRY(const bool is_ours, is_own_side(context, view, request.worked));
    const bool keeps_call = !own_call.empty() && own_call != view.call_sign && request.guest_of.empty();
    if (!is_ours && keeps_call) {
        TRY(const OwnCalls calls, own_calls(context, view));
        TRY(domain::grant_visible(domain::UnderOwnCall{own_call}, calls.grant_of(own_call), utc_day(request.start)));
    } else if (!is_ours) {
        TRY(contact_gate(request, view));
    }
    TRY(ContactBody body, body_of(request, view));
    if (keeps_call) body.station = own_call;
    if (is_ours) {
        TRY(make_own_side(context, view, body));
    }
    if (body.worked == body.station) {
        return Error{Fault::bad_input, body.worked + " is the station that you sat at; say whom you talked with."};
    }
    return body;
}

SameContacts::SameContacts(const WayView& view, const MemberId* own_side_of) {
    for (const ContactView& v : own_side_of != nullptr ? view.other_sides : view.contacts) {
        if (own_side_of == nullptr || v.by == *own_side_of) add(v.contact);
    }
}

void SameContacts::add(const ContactBody& body) {
    starts_[key_of(body)].insert(body.start.ms / ms_per_min);
}

std::optional<WallTime> SameContacts::near(const ContactBody& body) const {
    const auto found = starts_.find(key_of(body));
    if (found == starts_.end()) return std::nullopt;
    const std::int64_t minute = body.start.ms / ms_per_min;
    std::optional<std::int64_t> best;
    const auto after = found->second.lower_bound(minute);
    if (after != found->second.end()) best = *after;
    if (after != found->second.begin()) {
        const std::int64_t before = *std::prev(after);
        if (!best || minute - before < *best - minute) best = before;
    }
    if (!best || std::llabs(*best - minute) > same_contact_min) return std::nullopt;
    return WallTime{*best * ms_per_min};
}

bool SameContacts::has(const ContactBody& body) const {
    const auto found = starts_.find(key_of(body));
    return found != starts_.end() && found->second.contains(body.start.ms / ms_per_min);
}

std::string same_words(const ContactBody& body, WallTime start) {
    return body.worked + " on " + body.band + " " + body.mode + " is in the log already, at " + to_iso_minute(start) +
           ".";
}

std::string where_words(const ContactBody& body) {
    return (body.frequency.empty() ? body.band : body.frequency + " MHz") + " " + body.mode;
}

std::string contact_words(const ContactBody& body) {
    return body.worked + ", " + to_iso_minute(body.start) + ", " + where_words(body);
}

}  // namespace ladderline::node
