#include "node/commands/goings.hpp"

#include <algorithm>

#include "node/commands/club_shares.hpp"
#include "node/commands/consent_days.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/commands/own_clubs.hpp"
#include "node/commands/way.hpp"
#include "node/commands/who_is_meant.hpp"
#include "protocol/event/kinds.hpp"
#include "store/circles/log_ends.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

Result<std::vector<Cut>> ends_of(Context& context, const CircleId& circle, const CircleState& state,
                                 const MemberId& member) {
    return store::log_ends(context.db, circle, state,
                           [&](const DeviceCertificate& device) { return device.member == member; });
}

// The act and, where it is due and this owner's to bring, the new key: both or neither.
Result<EventId> go(Context& context, const CircleId& circle, std::uint16_t number, Bytes payload, bool& rotated) {
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    TRY(const EventId id, context.log.append_within({circle, number, std::move(payload), {}}, context.now()));
    if (number == kind::leave) {
        TRY(end_shares_with(context, circle));
    }
    TRY(rotated, rotate_if_due_within(context, circle));
    TRY(tx.commit());
    context.news(circle);
    return id;
}

std::string key_words(bool rotated) {
    return rotated ? " The circle has a new key, which they do not get."
                   : " The circle gets a new key as soon as somebody who may change it hears of this.";
}

struct KnownDevice {
    DeviceCertificate device;
    CircleView circle;
};

bool names(const DeviceCertificate& device, std::string_view wanted) {
    return device.label == wanted || (wanted.size() >= 6 && to_hex(device.device.view()).starts_with(wanted));
}

// Every place where somebody has a device that is meant.
Result<std::vector<KnownDevice>> find_device(Context& context, std::string_view wanted, const MemberId& member) {
    std::vector<KnownDevice> out;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        TRY(const CircleState state, context.state_of(circle.id));
        for (const auto& [id, device] : state.devices) {
            if (device.member == member && state.present_member(id) && names(device, wanted)) {
                out.push_back({device, circle});
            }
        }
    }
    const bool one = std::all_of(out.begin(), out.end(),
                                 [&](const KnownDevice& d) { return d.device.device == out.front().device.device; });
    if (out.empty()) {
        return Error{Fault::not_found, "No device called '" + std::string(wanted) +
                                           "' is known here, or it is gone already; see 'ladderline sees'."};
    }
    if (one) return out;
    std::set<std::string> keys;
    for (const KnownDevice& d : out) keys.insert(to_hex(d.device.device.view()).substr(0, 8));
    std::string list;
    for (const std::string& key : keys) list += (list.empty() ? "" : ", ") + key;
    return Error{Fault::bad_input, "Several devices are called '" + std::string(wanted) +
                                       "'; give the first digits of its key: " + list + "."};
}

}  // namespace

Result<CircleView> circle_meant(Context& context, std::string_view word, std::string_view who) {
    if (word == "club") return who.empty() ? own_circle(context, CircleKind::club) : club_called(context, who);
    if (word == "path") return path_of(context, who);
    if (word == "desk") return own_circle(context, CircleKind::desk);
    return Error{Fault::bad_input, "'" + std::string(word) + "' is no circle; say club, path or desk."};
}

Result<CircleView> circle_to_quit(Context& context, std::string_view word, std::string_view who) {
    if (word == "club") return club_called(context, who);
    return circle_meant(context, word, who);
}

Result<Done> leave_circle(Context& context, const CircleView& circle) {
    if (circle.founder == context.me.id() && circle.kind != CircleKind::club) {
        return Error{Fault::refused, "This is your own; others leave it, it stays with you. Nothing was changed."};
    }
    TRY(const PersonView me, myself(context, circle.id));
    TRY(const CircleState state, context.state_of(circle.id));
    const auto officers = std::count_if(state.members.begin(), state.members.end(), [](const auto& member) {
        return !member.second.removed && member.second.role == MemberRole::officer;
    });
    if (me.role == MemberRole::officer && officers == 1) {
        return Error{Fault::refused,
                     "You are this club's only officer; let another one in before you leave. Nothing was changed."};
    }
    TRY(auto cuts, ends_of(context, circle.id, state, me.id));
    bool rotated = false;
    TRY(const EventId id, go(context, circle.id, kind::leave, codec::encode(LeaveBody{std::move(cuts)}), rotated));
    return Done{"You have left " + circle.name +
                    ". What you said there stays with those who have it; what they say from their next key on does "
                    "not reach you.",
                id};
}

Result<Done> take_back(Context& context, const CircleView& circle) {
    TRY(const CircleState state, context.state_of(circle.id));
    if (!state.present_member(context.me.device_id())) {
        return Error{Fault::refused, "You are not in that circle any more, so nobody there would hear it."};
    }
    TRY(auto up_to, ends_of(context, circle.id, state, context.me.id()));
    TRY(const EventId id,
        context.log.append({circle.id, kind::take_back, codec::encode(TakeBackBody{std::move(up_to)}), {}},
                           context.now()));
    context.news(circle.id);
    return Done{
        "What you said in " + circle.name +
            " so far is no longer shown, printed or exported by any node that hears of this. That you are a "
            "member and what you signed for others stays; the sealed lines stay in the chain, and what somebody "
            "read or copied cannot be taken back.",
        id};
}

Result<Done> remove_person(Context& context, const CircleView& circle, std::string_view who,
                           const std::string& because) {
    if (because.size() > limits::line_bytes_max || !is_utf8(because))
        return Error{Fault::bad_input, "The reason is too long; keep it to one line. Nobody was removed."};
    TRY(const PersonView person, find_person(context, circle.id, who));
    if (person.id == context.me.id()) return leave_circle(context, circle);
    TRY(const CircleState state, context.state_of(circle.id));
    TRY(may_remove(state, context.me.id(), person.id));
    TRY(auto cuts, ends_of(context, circle.id, state, person.id));
    bool rotated = false;
    TRY(const EventId id,
        go(context, circle.id, kind::remove, codec::encode(RemoveBody{person.id, because, std::move(cuts)}), rotated));
    return Done{person.name + " is no longer in " + circle.name + "." + key_words(rotated) +
                    " What they have seen so far cannot be taken back.",
                id};
}

Result<Done> report_lost(Context& context, std::string_view device, std::string_view whose) {
    std::optional<PersonView> person;  // none: the owner of this node
    if (!whose.empty()) {
        TRY(person, find_anywhere(context, whose));
    }
    TRY(const auto places, find_device(context, device, person ? person->id : context.me.id()));
    std::size_t done = 0;
    std::optional<Error> refusal;
    EventId last;
    bool all_rotated = true;
    for (const KnownDevice& place : places) {
        TRY(const CircleState state, context.state_of(place.circle.id));
        const auto allowed = may_revoke(state, context.me.device_id(), place.device.device);
        if (!allowed) {
            refusal.emplace(allowed.error());
            continue;
        }
        TRY(auto cuts, store::log_ends(context.db, place.circle.id, state, [&](const DeviceCertificate& other) {
                return other.device == place.device.device;
            }));
        bool rotated = false;
        TRY(last, go(context, place.circle.id, kind::revoke,
                     codec::encode(RevokeBody{place.device.device, "lost", std::move(cuts)}), rotated));
        all_rotated = all_rotated && rotated;
        done += 1;
    }
    if (done == 0) return *refusal;
    return Done{"'" + places.front().device.label + "'" + (person ? " of " + person->name : "") + " is shut out of " +
                    std::to_string(done) + (done == 1 ? " circle" : " circles") + " for good." +
                    (all_rotated ? " New keys are made, which it does not get."
                                 : " Where you may not change the key, the next who may does.") +
                    " What it holds stays on it, behind its passphrase.",
                last};
}

namespace {

// The agreement to the plan is an item of the way, ticked by the guardian; whoever consents has agreed to it.
Result<void> agree_to_plan(Context& context, const CircleView& path) {
    TRY(const WayView view, way_of(context, path));
    const domain::ItemId item = domain::known_item::guardian_agrees;
    if (domain::state_of(view.states, item).tick) return ok();
    TRY(say(context, path.id, kind::tick, codec::encode(TickBody{domain::to_text(item), context.today(), {}, false})));
    return ok();
}

}  // namespace

Result<Done> give_consent(Context& context, std::string_view newcomer, std::optional<Day> until) {
    TRY(const CircleView path, path_of(context, newcomer));
    TRY(const CircleState state, context.state_of(path.id));
    TRY(may_consent(state, context.me.id()));
    const Day today = context.today();
    if (until && *until < today) return Error{Fault::bad_input, "That day is past; say the last day of the consent."};
    if (until && days_between(today, *until) > consent_days_max)
        return Error{Fault::bad_input, "Consent is given for two years at most; choose a nearer day."};
    if (until) {
        TRY(agree_to_plan(context, path));
    }
    bool rotated = false;
    TRY(const EventId id, go(context, path.id, kind::consent,
                             codec::encode(ConsentBody{today, until.value_or(today), !until.has_value()}), rotated));
    if (until) {
        return Done{"Your consent on the path of " + path.name + " is good until " + to_iso(*until) +
                        "; you can take it back at any time.",
                    id};
    }
    return Done{"Your consent on the path of " + path.name +
                    " is taken back. The mentor gets no more news; what they have seen cannot be taken back.",
                id};
}

}  // namespace ladderline::node
