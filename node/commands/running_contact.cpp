// The contact that goes on right now.
#include "node/commands/club_row.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/commands/contact_lines.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::string_view running_setting = "contact_running";  // no bytes: none

void fill(std::string& place, const std::string& more) {
    if (!more.empty()) place = more;
}

}  // namespace

Result<std::optional<RunningContact>> running_contact(Context& context) {
    TRY(const auto stored, store::get_setting(context.db, running_setting));
    if (!stored || stored->empty()) return std::optional<RunningContact>();
    const auto body = read_payload<ContactBody>(*stored);
    if (!body) return std::optional<RunningContact>();
    return std::optional<RunningContact>(RunningContact{request_of(*body)});
}

Result<Done> begin_contact(Context& context, const ContactRequest& request) {
    TRY(const auto running, running_contact(context));
    if (running) {
        return Error{Fault::refused, "The contact with " + running->request.worked + " that began at " +
                                         to_iso_minute(running->request.start) +
                                         " is not ended yet; end it, or say that nothing came of it."};
    }
    ContactRequest now = request;
    now.start = context.now();
    TRY(const WayView view, way(context, ""));
    TRY(const ContactBody body, checked_contact(context, view, now));
    TRY(store::put_setting(context.db, running_setting, codec::encode(body)));
    return Done{"Begun: " + contact_words(body) + ". It is written down when you end it.", {}};
}

Result<Done> end_contact(Context& context, const ContactRequest& more) {
    TRY(const auto running, running_contact(context));
    if (!running) return Error{Fault::not_found, "No contact is running; nothing was written down."};
    ContactRequest request = running->request;
    fill(request.sent, more.sent);
    fill(request.received, more.received);
    fill(request.locator, more.locator);
    fill(request.comment, more.comment);
    fill(request.frequency, more.frequency);
    fill(request.mode, more.mode);
    request.another = more.another;
    const std::string end = to_iso_minute(context.now());  // 2026-03-02T18:12Z
    request.comment += (request.comment.empty() ? "" : ", ") + ("until " + end.substr(11, 5) + " UTC");
    TRY(Done done, log_contact(context, request));
    TRY(store::put_setting(context.db, running_setting, ByteView()));
    return done;
}

Result<Done> drop_contact(Context& context) {
    TRY(const auto running, running_contact(context));
    if (!running) return Error{Fault::not_found, "No contact is running; nothing was changed."};
    TRY(store::put_setting(context.db, running_setting, ByteView()));
    return Done{"Nothing came of the contact with " + running->request.worked + "; nothing was written down.", {}};
}

}  // namespace ladderline::node
