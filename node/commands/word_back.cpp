#include "node/commands/word_back.hpp"

#include "node/commands/way.hpp"
#include "protocol/event/checked_body.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;

Result<Done> take_check_back(Context& context, const EventId& check) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    std::optional<CheckedBody> said;
    TRY(context.db.query(
        "SELECT shown.payload FROM shown JOIN author USING (log_ref) WHERE shown.circle = ?1 AND shown.kind = ?2 AND "
        "shown.id = ?3 AND author.member = ?4",
        [&](const store::sqlite::Row& row) {
            if (const auto body = read_payload<CheckedBody>(row.blob(0))) said = *body;
        },
        club.id, kind::checked_on, check, context.me.id()));
    if (!said) return Error{Fault::not_found, "You wrote nothing like that down; nothing was changed."};
    TRY(const EventId id, say(context, club.id, kind::checked_on,
                              codec::encode(CheckedBody{said->newcomer, day_of_taking_back}), {check}));
    TRY(const auto newcomer, person(context.db, club.id, said->newcomer));
    return Done{"Taken back: " + (newcomer ? newcomer->name : std::string("the newcomer")) + " was not asked on " +
                    to_iso(said->day) + ".",
                id};
}

Result<Done> take_touch_back(Context& context, std::string_view who, const EventId& touch) {
    TRY(const WayView view, way(context, who));
    bool is_own = false;
    TRY(context.db.query(
        "SELECT 1 FROM touch JOIN author USING (log_ref) WHERE touch.circle = ?1 AND touch.id = ?2 AND "
        "author.member = ?3",
        [&](const store::sqlite::Row&) { is_own = true; }, view.circle.id, touch, context.me.id()));
    if (!is_own) return Error{Fault::not_found, "You wrote nothing like that down; nothing was changed."};
    TRY(const EventId id,
        say(context, view.circle.id, kind::touch, codec::encode(TouchBody{day_of_taking_back}), {touch}));
    return Done{"Taken back: that word about being in touch with " + view.owner.name + " no longer stands.", id};
}

}  // namespace ladderline::node
