#include "node/commands/contacts.hpp"

#include <algorithm>

#include "node/commands/club_row.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/domain/radio/adif.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

std::optional<WallTime> same_as(const Context& context, const WayView& view, const ContactBody& body) {
    const MemberId self = context.me.id();
    const bool is_ours = is_other_side(view, self, body.worked);
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
    const auto same = same_as(context, view, body);
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
