#include "node/commands/returning.hpp"

#include <algorithm>

#include "node/commands/circles.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/sync/returning.hpp"
#include "store/circles/owners.hpp"
#include "store/circles/peers.hpp"
#include "store/circles/return_keys.hpp"
#include "store/settings/settings.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

Result<std::vector<CircleId>> circles_shared_with(Context& context, const MemberId& member) {
    std::vector<CircleId> out;
    TRY(context.db.query(
        "SELECT theirs.circle FROM member AS theirs JOIN member AS mine ON mine.circle = theirs.circle "
        "AND mine.member = ?2 WHERE theirs.member = ?1 AND theirs.removed = 0 AND mine.removed = 0 ORDER BY 1",
        [&](const store::sqlite::Row& row) { out.push_back(row.fixed<CircleId>(0)); }, member, context.me.id()));
    if (out.size() <= limits::circles_max) return out;
    TRY(out, store::by_turns(context.db, context.me.id(), out));
    out.resize(limits::circles_max);
    return out;
}

// The owner as the circles show them: the seat of the first that does, the newest card of all.
struct Shown {
    BeginRequest who;
    CardBody card;
};
Result<std::optional<Shown>> owner_as_shown(Context& context) {
    std::optional<Shown> out;
    std::optional<WallTime> said;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        const auto me = myself(context, circle.id);
        if (!me) continue;
        if (!out) {
            out.emplace();
            out->who.role = me.value().role;
            out->who.name = out->card.name = me.value().name;
        }
        out->who.under_18 = out->who.under_18 || me.value().is_minor;
        TRY(const auto cards, shown(context.db, circle.id, kind::card));
        for (const ShownView& view : cards) {
            auto card = read_payload<CardBody>(view.payload);
            if (view.by != context.me.id() || !card || card->name.empty() || (said && *said >= view.said)) continue;
            said = view.said;
            out->who.name = card->name;
            out->card = std::move(*card);
        }
    }
    return out;
}

}  // namespace

Result<std::optional<MemberId>> returning_member(Context& context, const InviteId& id) {
    std::optional<MemberId> out;
    TRY(context.db.query(
        "SELECT DISTINCT theirs.member FROM member AS theirs JOIN member AS mine ON mine.circle = theirs.circle "
        "AND mine.member = ?1 WHERE theirs.removed = 0 AND mine.removed = 0",
        [&](const store::sqlite::Row& row) {
            const auto member = row.fixed<MemberId>(0);
            if (!out && return_invite(member) == id) out = member;
        },
        context.me.id()));
    return out;
}

Result<ReturnedMessage> let_back(Context& context, const ReturnMessage& message) {
    const DeviceCertificate& device = message.device;
    ReturnedMessage answer;
    ReturnedMessage::Back back;
    back.host = context.me.certificate;
    TRY(const auto shared, circles_shared_with(context, device.member));
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    for (const CircleId& circle : shared) {
        TRY(const auto keys, store::keys_for_return(context.states, circle, device, context.today()));
        if (keys.empty()) continue;
        Bytes joined;
        for (const AeadKey& key : keys) joined.insert(joined.end(), key.view().begin(), key.view().end());
        back.circles.push_back({circle, std::move(joined)});
        TRY(store::remember_returning(context.db, circle, device.member, device.device, device.noise));
    }
    TRY(tx.commit());
    if (!back.circles.empty()) {
        answer.back = std::move(back);
    } else if (!shared.empty()) {
        answer.refusal =
            "What this node shares with you is closed to you as things stand: a guardian's consent is missing or over, "
            "or this machine was reported lost.";
    } else {
        answer.refusal = "This node shares no circle with you; ask somebody else who does.";
    }
    return answer;
}

Result<std::size_t> accept_return(Context& context, const ReturnedMessage::Back& back) {
    for (const auto& given : back.circles) {
        if (given.keys.empty() || given.keys.size() % AeadKey::size != 0) {
            return Error{Fault::peer, "The node there gave a key that is none; nothing was brought back."};
        }
    }
    for (const auto& given : back.circles) {
        TRY(store::remember_returning(context.db, given.circle, back.host.member, back.host.device, back.host.noise));
        // The circle may show the host before it shows the owner.
        TRY(store::remember_welcome(context.db, given.circle, back.host.device, back.host.noise));
        for (ByteView rest = given.keys; !rest.empty(); rest = rest.subspan(AeadKey::size)) {
            TRY(context.log.add_key(given.circle, AeadKey::copy_of(rest.first(AeadKey::size))));
        }
    }
    return back.circles.size();
}

Result<std::size_t> certify_own_device(Context& context) {
    std::size_t count = 0;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        TRY(const CircleState state, context.state_of(circle.id));
        const auto me = state.members.find(context.me.id());
        const bool present = me != state.members.end() && !me->second.removed;
        if (!present || state.devices.contains(context.me.device_id())) continue;
        TRY(say(context, circle.id, kind::certify, codec::encode(CertifyBody{context.me.certificate})));
        ++count;
    }
    return count;
}

Result<Done> settle_in(Context& context) {
    if (own_circle(context, CircleKind::desk)) return Done{"What that node shares with you is here too now.", {}};
    TRY(const auto owner, owner_as_shown(context));
    if (!owner) {
        return Error{Fault::not_found,
                     "No circle shows you as a member yet; what has come is kept. Run the same command again."};
    }
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    TRY(open_desk(context, owner->who, owner->card));
    TRY(tx.commit());
    return Done{"Welcome back, " + owner->who.name +
                    ". What that node shares with you is here again. Your desk "
                    "(practice answers) was on the lost machine alone and begins anew; a circle that only others share "
                    "with you comes with 'ladderline recover' and their address.",
                {}};
}

}  // namespace ladderline::node
