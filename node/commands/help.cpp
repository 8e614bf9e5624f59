#include "node/commands/help.hpp"

#include "node/commands/club_row.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;

Result<Done> ask_for_help(Context& context, std::string_view topic, std::optional<Day> since) {
    TRY(const WayView view, way(context, ""));
    const Day asked = since.value_or(context.today());
    if (asked > context.today()) return Error{Fault::bad_input, to_iso(asked) + " has not come yet; nothing was sent."};
    if (topic.size() > limits::line_bytes_max || !is_utf8(topic)) {
        return Error{Fault::bad_input, "Say it in one line; nothing was sent."};
    }
    std::vector<EventId> supersedes;
    TRY(const auto before, shown(context.db, view.circle.id, kind::ask));
    for (const ShownView& question : before) {
        if (question.by == context.me.id()) supersedes.push_back(question.id);
    }
    const AskBody body{std::string(topic), asked};
    TRY(const EventId id, say(context, view.circle.id, kind::ask, codec::encode(body), std::move(supersedes)));
    TRY(refresh_club_row(context));
    if (topic.empty()) return Done{"Good: nothing is asked any more.", id};
    const bool is_alone = view.people.size() < 2;
    return Done{"Asked: " + std::string(topic) +
                    (is_alone ? ". Nobody is on your way yet who could see it; they will once you let them in."
                              : ". Those on your way see it at their next sync."),
                id};
}

Result<Done> was_in_touch(Context& context, std::string_view who, std::optional<Day> day) {
    TRY(const WayView view, way(context, who));
    TRY(const PersonView me, myself(context, view.circle.id));
    if (me.id == view.owner.id) return Error{Fault::refused, "Your mentor says when they were in touch with you."};
    TRY(domain::group_complete(view.group, context.today()));
    const Day said = day.value_or(context.today());
    if (said > context.today())
        return Error{Fault::bad_input, to_iso(said) + " has not come yet; nothing was written down."};
    TRY(const EventId id, say(context, view.circle.id, kind::touch, codec::encode(TouchBody{said})));
    return Done{"In touch with " + view.owner.name + " on " + to_iso(said) + ".", id};
}

}  // namespace ladderline::node
