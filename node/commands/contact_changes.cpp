#include "node/commands/contact_changes.hpp"

#include <algorithm>

#include "node/commands/club_row.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/commands/own_calls.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

// To the second where the minute alone would hide a difference.
std::string start_words(WallTime start, WallTime beside) {
    const bool is_same_minute = to_iso_minute(start) == to_iso_minute(beside);
    return is_same_minute && start != beside ? to_iso_second(start) : to_iso_minute(start);
}

// What a reader of the history wants to know: which fields became what.
std::string difference(const ContactBody& before, const ContactBody& after) {
    std::vector<std::string> out;
    const auto field = [&](const char* name, const std::string& a, const std::string& b) {
        if (a != b)
            out.push_back(std::string(name) + " " + (b.empty() ? "nothing" : b) + " (was " +
                          (a.empty() ? "nothing" : a) + ")");
    };
    field("station", before.worked, after.worked);
    field("start", start_words(before.start, after.start), start_words(after.start, before.start));
    field("under", before.station, after.station);
    field("frequency", before.frequency, after.frequency);
    field("band", before.band, after.band);
    field("mode", before.mode, after.mode);
    field("report given", before.sent, after.sent);
    field("report got", before.received, after.received);
    field("locator", before.locator, after.locator);
    field("remark", before.comment, after.comment);
    std::string words;
    for (const std::string& one : out) words += (words.empty() ? "" : "; ") + one;
    return words.empty() ? "as it was" : words;
}

// What a new word about the contact replaces: the latest first, as many as an event may name.
std::vector<EventId> changes_before(const ContactView& view) {
    std::vector<EventId> out;
    for (auto word = view.history.rbegin(); word != view.history.rend(); ++word) {
        if (word->event != view.id && out.size() < limits::superseded_max) out.push_back(word->event);
    }
    return out;
}

// Without the contact itself, which would always look the same as what it becomes.
Result<void> look_for_same(Context& context, OwnContact& own, const ContactRequest& to, const ContactBody& body) {
    if (to.another) return ok();
    const auto is_it = [&](const ContactView& v) { return v.id == own.view.id; };
    std::erase_if(own.way.contacts, is_it);
    std::erase_if(own.way.other_sides, is_it);
    const MemberId self = context.me.id();
    TRY(const bool is_ours, is_own_side(context, own.way, to.worked));
    const auto same = SameContacts(own.way, is_ours ? &self : nullptr).near(body);
    if (!same) return ok();
    return Error{Fault::refused,
                 same_words(body, *same) +
                     " Nothing was changed; if these are two contacts, say so (--another, or the box in the form)."};
}

}  // namespace

Result<OwnContact> own_contact(Context& context, const std::string& who, const std::string& id) {
    TRY(WayView view, way(context, who));
    TRY(auto all, contacts(context.db, view.circle.id));
    std::erase_if(all, [&](const ContactView& v) { return id.empty() || !to_hex(v.id.view()).starts_with(id); });
    if (all.empty()) {
        return Error{Fault::not_found,
                     "There is no contact '" + id + "' in this log; the list shows what each begins with."};
    }
    if (all.size() > 1) {
        return Error{Fault::bad_input,
                     std::to_string(all.size()) + " contacts begin with '" + id + "'; write more of it."};
    }
    if (all.front().by != context.me.id()) {
        return Error{Fault::refused,
                     "Somebody else wrote that contact down, and only they can change it; nothing was changed."};
    }
    return OwnContact{std::move(view), std::move(all.front())};
}

ContactRequest change_of(const ContactView& view) {
    return request_of(view.contact);
}

Result<Done> amend_contact(Context& context, const std::string& id, const ContactRequest& to) {
    TRY(OwnContact own, own_contact(context, to.who, id));
    const ContactBody& before = own.view.contact;
    const std::string own_call = before.operated_by.empty() ? before.station : std::string();
    TRY(const ContactBody body, checked_contact(context, own.way, to, own_call));
    if (!own.view.struck && codec::encode(body) == codec::encode(own.view.contact)) {
        return Error{Fault::bad_input, "That is what stands in the log already; nothing was changed."};
    }
    TRY(look_for_same(context, own, to, body));
    TRY(const EventId said, say(context, own.way.circle.id, kind::amend_contact,
                                codec::encode(AmendContactBody{own.view.id, body}), changes_before(own.view)));
    TRY(refresh_club_row(context));
    return Done{"Changed: " + contact_words(body) + ". What was there before stays in its history.", said};
}

Result<Done> strike_contact(Context& context, const std::string& who, const std::string& id,
                            const std::string& reason) {
    TRY(const OwnContact own, own_contact(context, who, id));
    if (own.view.struck) return Error{Fault::bad_input, "That contact is struck out already; nothing was changed."};
    if (reason.size() > limits::line_bytes_max) {
        return Error{Fault::bad_input, "The reason is too long; keep it short. Nothing was changed."};
    }
    if (!reason.empty() && context.me.id() != own.way.owner.id) {
        TRY(domain::group_complete(own.way.group, context.today()));
    }
    TRY(const EventId said, say(context, own.way.circle.id, kind::strike_contact,
                                codec::encode(StrikeContactBody{own.view.id, reason}), changes_before(own.view)));
    TRY(refresh_club_row(context));
    return Done{
        "Struck out: " + contact_words(own.view.contact) + ". It stays in the history, and changing it brings it back.",
        said};
}

std::vector<HistoryLine> history_lines(const ContactView& view) {
    std::vector<HistoryLine> out;
    for (std::size_t i = 0; i < view.history.size(); ++i) {
        const ContactWord& word = view.history[i];
        if (i == 0) {
            out.push_back({word.said, "written down: " + contact_words(word.contact)});
        } else if (word.struck) {
            out.push_back({word.said, "struck out" + (word.reason.empty() ? "" : ": " + word.reason)});
        } else {
            const ContactWord& before = view.history[i - 1];
            out.push_back({word.said, std::string(before.struck ? "back in the log" : "changed") + ": " +
                                          difference(before.contact, word.contact)});
        }
    }
    return out;
}

}  // namespace ladderline::node
