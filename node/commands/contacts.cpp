#include "node/commands/contacts.hpp"

#include <algorithm>

#include "node/commands/club_row.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/commands/own_calls.hpp"
#include "node/domain/radio/adif.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

Result<std::optional<WallTime>> same_as(Context& context, const WayView& view, const ContactBody& body) {
    const MemberId self = context.me.id();
    TRY(const bool is_ours, is_own_side(context, view, body.worked));
    return SameContacts(view, is_ours ? &self : nullptr).near(body);
}

}  // namespace

Result<std::optional<WallTime>> same_in_log(Context& context, const ContactRequest& request) {
    TRY(const WayView view, way(context, request.who));
    const auto body = checked_contact(context, view, request);
    if (!body) return std::optional<WallTime>();
    return same_as(context, view, body.value());
}

Result<Done> log_contact(Context& context, const ContactRequest& request) {
    TRY(const WayView view, way(context, request.who));
    TRY(const ContactBody body, checked_contact(context, view, request));
    TRY(const auto same, same_as(context, view, body));
    if (same && !request.another) {
        return Error{Fault::refused, same_words(body, *same) +
                                         " Nothing was written down twice; if this was another contact, say so "
                                         "(--another, or the box in the form)."};
    }
    TRY(const EventId id, say(context, view.circle.id, kind::contact, codec::encode(body)));
    TRY(refresh_club_row(context));
    return Done{"Written down: " + contact_words(body) + ".", id};
}

}  // namespace ladderline::node
