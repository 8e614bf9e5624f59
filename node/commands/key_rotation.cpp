#include "node/commands/key_rotation.hpp"

#include <algorithm>

#include "node/commands/circles.hpp"
#include "node/commands/own_clubs.hpp"
#include "protocol/event/kinds.hpp"
#include "store/circles/circle_model.hpp"
#include "store/circles/new_key.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

Result<EventId> rotate_within(Context& context, const CircleId& circle, const CircleState& state) {
    TRY(store::see_off_within(context.log, circle, state, context.me.id(), context.now()));
    TRY(const auto key,
        store::new_key_for(context.log, circle, state, readers_on(state, context.today()), context.me.id()));
    return context.log.rotate_within(circle, key, context.now());
}

}  // namespace

Result<bool> rotate_if_due_within(Context& context, const CircleId& circle) {
    TRY(const CircleState state, context.state_of(circle));
    if (!may_rotate(state, context.me.id()) || !state.present_member(context.me.device_id())) return false;
    TRY(const WallTime since, store::CircleModel::epoch_since(context.db, circle, state));
    if (!rotation_due(state, since, context.now())) return false;
    TRY(rotate_within(context, circle, state));
    return true;
}

Result<bool> rotate_if_due(Context& context, const CircleId& circle) {
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    TRY(const bool rotated, rotate_if_due_within(context, circle));
    TRY(tx.commit());
    if (rotated) context.news(circle);
    return rotated;
}

Result<void> rotate_where_due(Context& context) {
    TRY(const auto all, circles(context.db));
    Result<void> first = ok();
    for (const CircleView& circle : all) {
        const auto rotated = rotate_if_due(context, circle.id);
        if (!rotated && first) first = rotated.error();
    }
    return first;
}

Result<void> show_paper_box(Context& context, const CircleId& circle) {
    TRY(const auto seed, store::stored_paper_seed(context.db));
    if (!seed || !store::gives_identity(*seed, context.me)) return ok();
    TRY(const CircleState state, context.state_of(circle));
    if (state.kind != CircleKind::path || !state.present_member(context.me.device_id())) return ok();
    const DhPublic box = paper_box_keys(*seed).pub;
    const auto shown = state.paper_boxes.find(context.me.id());
    if (shown != state.paper_boxes.end() && shown->second == box) return ok();
    TRY(say(context, circle, kind::paper_box, codec::encode(PaperBoxBody{box})));
    return ok();
}

Result<Done> rotate(Context& context, const CircleView& circle) {
    TRY(const CircleState state, context.state_of(circle.id));
    TRY(may_rotate(state, context.me.id()));
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    TRY(const EventId id, rotate_within(context, circle.id, state));
    TRY(tx.commit());
    context.news(circle.id);
    return Done{
        "This circle has a new key: what is said from now on opens with it alone. What was said before stays "
        "readable to whoever could read it.",
        id};
}

Result<void> settle_circle(Context& context, const CircleId& circle) {
    TRY(rotate_if_due(context, circle));
    TRY(const CircleState state, context.state_of(circle));
    if (state.kind == CircleKind::desk || !state.present_member(context.me.device_id())) return ok();
    TRY(show_paper_box(context, circle));
    TRY(const auto cards, shown(context.db, circle, kind::card));
    const bool has_card =
        std::any_of(cards.begin(), cards.end(), [&](const ShownView& card) { return card.by == context.me.id(); });
    if (has_card) return ok();
    TRY(const bool unasked, came_unasked(context, circle));
    if (unasked && state.kind == CircleKind::club) return ok();
    return show_card(context, circle);
}

}  // namespace ladderline::node
