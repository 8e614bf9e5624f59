#include "node/commands/items.hpp"

#include "node/commands/circles.hpp"
#include "node/commands/club_row.hpp"
#include "node/commands/consent_days.hpp"
#include "node/commands/day_in_words.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/commands/own_day.hpp"
#include "node/domain/licence/clocks.hpp"
#include "node/domain/licence/term.hpp"
#include "node/domain/rules/call_sign.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::Item;

// A guardian who ticks the agreement consents with it.
std::string consent_words(const WayView& view, Day until) {
    return " That is your consent until " + to_iso(until) + "; 'ladderline consent \"" + view.owner.name +
           "\" --until DAY' says another day, and --take-back takes it back.";
}

domain::Actor actor_of(const PersonView& me, const WayView& way) {
    const bool own = me.id == way.owner.id;
    const domain::Role seat = own ? domain::Role::newcomer : to_domain(me.role);
    return {to_domain(me.id), domain::RoleSet{seat}, static_cast<domain::Level>(me.level)};
}

domain::Way domain_way(const WayView& way) {
    return {to_domain(way.owner.id), way.owner.is_minor};
}

// A whole stage ("9", "09", "stage 9"), or one item.
Result<std::vector<const Item*>> items_meant(const domain::Edition& edition, std::string_view input) {
    std::string_view number = input;
    if (number.starts_with("stage ")) number.remove_prefix(6);
    const bool digits =
        !number.empty() && number.size() <= 2 && number.find_first_not_of("0123456789") == std::string_view::npos;
    if (digits) {
        const int stage = std::stoi(std::string(number));
        std::vector<const Item*> out;
        for (const Item& item : edition.items) {
            if (item.id.stage == stage) out.push_back(&item);
        }
        if (out.empty())
            return Error{Fault::not_found, "There is no stage " + std::string(number) + " on this ladder."};
        return out;
    }
    TRY(const Item* item, domain::find_by_input(edition, input));
    return std::vector<const Item*>{item};
}

std::string quoted(const Item& item) {
    return domain::to_text(item.id) + " \"" + item.text + "\"";
}

std::string whose(const WayView& way, const PersonView& me) {
    return me.id == way.owner.id ? "your way" : way.owner.name + "'s way";
}

Result<Day> day_that_came(Context& context, Day day) {
    if (day > context.today() + 1) {
        return Error{Fault::bad_input, to_iso(day) + " has not come yet; nothing was written down."};
    }
    return day;
}

// The sheet that the first transmission needs, and the call sign that goes with the grant.
Result<std::string> evidence_of(const TickRequest& request, const Item& item) {
    if (item.id != domain::known_item::grant_visible || request.undo) return request.evidence;
    const auto call = domain::parse_us_call_sign(request.evidence);
    if (!call) {
        const std::string why = request.evidence.empty() ? "" : " " + call.error().sentence();
        return Error{Fault::bad_input,
                     "Say the call sign that the register shows: tick 04.06 --evidence CALLSIGN." + why};
    }
    const auto why_not = domain::why_not_available(call.value());
    if (why_not && !domain::is_impossible_demo_call(request.evidence)) return Error{Fault::bad_input, *why_not};
    return call.value().text();
}

// A call sign ticked within the term of the first one moves no clock, which whoever wants to mend its day has to know.
std::string grant_words(const TickBody& body, const WayView& before) {
    const std::optional<Day> known = before.dates.grant;
    if (!known || !domain::state_of(before.states, domain::known_item::grant_visible).tick) return {};
    domain::KnownDates after = before.dates;
    domain::take_licence(after, body.day, {}, domain::shipped_clocks());
    if (*known >= body.day || after.grant != known) return {};
    return " The licence still counts from " + to_iso(*known) +
           "; if that day is wrong, take it back first: ladderline tick 04.06 --undo.";
}

// Items whose day starts a hard clock: from which day it is counted is said at once, while it can be mended.
std::string clock_words(const Item& item, const TickBody& body, const WayView& before) {
    if (item.id == domain::known_item::grant_visible && !body.undone) return grant_words(body, before);
    if (item.id != domain::known_item::fee_notice_seen || body.undone) return {};
    const Day notice = notice_day(body.day, body.evidence);
    return " By this the notice came on " + to_iso(notice) + ", so that the fee's last day is " +
           to_iso(notice + domain::shipped_clocks().fee_last_days) +
           "; if the e-mail is of another day: ladderline tick 04.01 --on DAY.";
}

std::optional<domain::OnAirAs> on_air_as(const TickRequest& request, const WayView& way) {
    if (!request.guest_of.empty()) return domain::OnAirAs{domain::AsGuest{request.guest_of, request.guest_of}};
    return domain::OnAirAs{domain::UnderOwnCall{way.call_sign}};
}

// Those that stand, in order.
std::vector<const domain::Mark*> own_signatures(const domain::ItemState& state, const PersonView& me) {
    std::vector<const domain::Mark*> out;
    for (const domain::Mark& mark : state.signatures) {
        if (mark.author == to_domain(me.id)) out.push_back(&mark);
    }
    return out;
}

// The whole way rests by its owner's card, which every circle sees.
Result<Done> set_way_aside(Context& context, domain::StatementKind what) {
    if (what == domain::StatementKind::skip) {
        return Error{Fault::bad_input, "A whole way is not skipped; it can rest and go on again at any time."};
    }
    CardRequest card;
    card.resting = what == domain::StatementKind::rest;
    TRY(change_card(context, card));
    TRY(refresh_club_row(context));
    return Done{*card.resting ? "Your way rests. No reason is needed; it goes on whenever you like."
                              : "Welcome back: your way goes on where it was.",
                {}};
}

}  // namespace

Result<Done> assign(Context& context, const AssignRequest& request) {
    TRY(const WayView view, way(context, request.who));
    TRY(const PersonView me, myself(context, view.circle.id));
    if (me.id != view.owner.id) {
        TRY(domain::group_complete(view.group, context.today()));
    }
    AssignBody body;
    body.edition = context.edition.edition;
    for (const std::string& input : request.items) {
        TRY(const auto items, items_meant(context.edition, input));
        for (const Item* item : items) {
            const bool of_a_stage = items.size() > 1;
            if (of_a_stage && !domain::applies_to(*item, view.owner.is_minor)) continue;
            TRY(domain::may_assign(*item, domain_way(view), actor_of(me, view)));
            body.items.push_back(domain::to_text(item->id));
        }
    }
    if (body.items.empty())
        return Error{Fault::bad_input, "Say which items or which stage: assign NAME 09, or assign NAME 9.6."};
    if (body.items.size() > limits::items_max)
        return Error{Fault::bad_input, "That is more than one assignment can hold; assign a stage at a time."};
    const std::size_t count = body.items.size();
    const std::string what = count == 1 ? body.items.front() : std::to_string(count) + " items";
    TRY(const EventId id, say(context, view.circle.id, kind::assign, codec::encode(body)));
    return Done{what + (count == 1 ? " is" : " are") + " now asked for on " + whose(view, me) + ".", id};
}

Result<Done> tick(Context& context, const TickRequest& request) {
    TRY(const WayView view, way(context, request.who));
    TRY(const PersonView me, myself(context, view.circle.id));
    TRY(const Item* item, domain::find_by_input(context.edition, request.item));
    const domain::Actor actor = actor_of(me, view);
    TRY(domain::may_tick(context.edition, *item, domain_way(view), actor));
    TRY(const Day day, day_that_came(context, request.day ? *request.day : tick_day(context, *item)));
    TRY(std::string evidence, evidence_of(request, *item));
    if (evidence.size() > limits::line_bytes_max)
        return Error{Fault::bad_input, "The evidence is too long; keep it to one line."};
    if (!request.undo) {
        domain::TickFacts facts{context.edition, view.group, view.states, context.today(), day, {}, {}};
        facts.on_air = on_air_as(request, view);
        if (!request.with.empty()) {
            TRY(const PersonView second, find_person(context, view.circle.id, request.with));
            facts.second_person = to_domain(second.id);
        }
        TRY(domain::tick_gates(*item, me.id == view.owner.id ? domain::Role::newcomer : to_domain(me.role), facts));
    }
    const TickBody body{domain::to_text(item->id), day, std::move(evidence), request.undo};
    std::vector<store::NewEvent> events{{view.circle.id, kind::tick, codec::encode(body)}};
    std::string words = clock_words(*item, body, view);
    const bool is_agreed = view.group.consent_until && *view.group.consent_until >= context.today();
    if (item->id == domain::known_item::guardian_agrees && view.owner.is_minor && me.role == MemberRole::guardian &&
        is_agreed == request.undo) {
        // The tick is the guardian's word; the consent says until when keys may be given out on it.
        const ConsentBody consent{day, context.today() + consent_days, request.undo};
        events.push_back({view.circle.id, kind::consent, codec::encode(consent)});
        if (!request.undo) words += consent_words(view, consent.keep_until);
    }
    TRY(const auto ids, context.log.append(events, context.now()));
    const EventId id = ids.front();
    context.news(view.circle.id);
    TRY(rotate_if_due(context, view.circle.id));
    TRY(refresh_club_row(context));
    return Done{
        quoted(*item) + (request.undo ? " is open again on " : " is ticked on ") + whose(view, me) + "." + words, id};
}

Result<Done> sign_off(Context& context, const SignRequest& request) {
    TRY(const WayView view, way(context, request.who));
    TRY(const PersonView me, myself(context, view.circle.id));
    TRY(const Item* item, domain::find_by_input(context.edition, request.item));
    if (me.id != view.owner.id) {
        TRY(domain::group_complete(view.group, context.today()));
    }
    domain::Level level = item->kind == domain::ItemKind::skill ? domain::Level::alone : domain::Level::none;
    if (!request.level.empty()) {
        TRY(level, domain::parse_level(request.level));
    }
    TRY(domain::may_sign(context.edition, *item, domain_way(view), actor_of(me, view), level,
                         domain::state_of(view.states, item->id)));
    TRY(const Day day, day_that_came(context, request.day ? *request.day : own_day(context)));
    if (request.saw.size() > limits::line_bytes_max)
        return Error{Fault::bad_input, "What you saw is too long; keep it to one line."};
    // A button pressed twice says nothing new.
    for (const domain::Mark* mark : own_signatures(domain::state_of(view.states, item->id), me)) {
        if (mark->level != level || mark->day != day || mark->text != request.saw) continue;
        return Done{quoted(*item) + " is signed by you already, in the same words; nothing was written down twice.",
                    EventId{mark->id.data}};
    }
    const SignBody body{domain::to_text(item->id), static_cast<std::uint8_t>(level), day, request.saw};
    TRY(const EventId id, say(context, view.circle.id, kind::sign, codec::encode(body)));
    std::string sentence = quoted(*item) + " is signed on " + whose(view, me);
    if (level != domain::Level::none) sentence += ", level \"" + std::string(domain::to_word(level)) + "\"";
    return Done{sentence + ".", id};
}

Result<SignedMany> sign_many(Context& context, const SignManyRequest& request) {
    if (request.items.empty()) return Error{Fault::bad_input, "Tick at least one item; nothing was signed."};
    SignedMany out;
    for (const domain::ItemId id : request.items) {
        const Item* item = context.edition.find(id);
        const bool is_skill = item != nullptr && item->kind == domain::ItemKind::skill;
        const auto done = sign_off(context, {request.who, domain::to_text(id), is_skill ? request.level : std::string(),
                                             request.day, request.saw});
        if (done) {
            out.done.push_back(id);
        } else {
            out.left.push_back({id, done.error().sentence()});
        }
    }
    return out;
}

Result<Done> withdraw(Context& context, const WithdrawRequest& request) {
    TRY(const WayView view, way(context, request.who));
    TRY(const PersonView me, myself(context, view.circle.id));
    TRY(const Item* item, domain::find_by_input(context.edition, request.item));
    const domain::ItemState& state = domain::state_of(view.states, item->id);
    const auto own = own_signatures(state, me);
    if (own.empty()) return Error{Fault::not_found, "You have no signature on " + quoted(*item) + " to take back."};
    TRY(domain::may_withdraw(state, actor_of(me, view), own.back()->id, request.why));
    if (request.why.size() > limits::line_bytes_max)
        return Error{Fault::bad_input, "The reason is too long; keep it to one line."};
    // A signature can always be taken back; free words reach a minor only where the other adults read them too.
    const bool with_words = me.id == view.owner.id || domain::group_complete(view.group, context.today());
    const std::string why = with_words ? request.why : std::string("taken back");
    // Who signed twice at one level meant one signature, and takes back one.
    std::vector<store::NewEvent> events;
    const domain::Mark* other = nullptr;
    for (const domain::Mark* mark : own) {
        if (mark->level != own.back()->level) {
            other = mark;
            continue;
        }
        const WithdrawBody body{EventId{mark->id.data}, domain::to_text(item->id), why};
        events.push_back({view.circle.id, kind::withdraw, codec::encode(body), {}});
    }
    TRY(const auto ids, context.log.append(events, context.now()));
    context.news(view.circle.id);
    return Done{"Your signature on " + quoted(*item) + " is taken back; the newcomer sees " +
                    (with_words ? "the reason." : "no reason, since not everybody is there who reads along.") +
                    (other != nullptr ? " Your other signature there, level \"" +
                                            std::string(domain::to_word(other->level)) + "\", stands."
                                      : std::string()),
                ids.back()};
}

Result<Done> set_aside(Context& context, const AsideRequest& request) {
    if (request.item.empty()) return set_way_aside(context, request.what);
    TRY(const WayView view, way(context, ""));
    TRY(const PersonView me, myself(context, view.circle.id));
    TRY(const Item* item, domain::find_by_input(context.edition, request.item));
    if (request.what == domain::StatementKind::reopen) {
        TRY(domain::may_reopen(context.edition, *item, domain_way(view), actor_of(me, view)));
    } else {
        TRY(domain::may_set_aside(*item, domain_way(view), actor_of(me, view)));
    }
    SetAsideBody body{domain::to_text(item->id), Aside::skip, context.today()};
    std::string sentence = " is skipped; no reason needed, and it can be opened again.";
    if (request.what == domain::StatementKind::rest) {
        body.what = Aside::rest;
        sentence = " rests; it can be opened again at any time.";
    } else if (request.what == domain::StatementKind::reopen) {
        body.what = Aside::reopen;
        const domain::ItemState& before = domain::state_of(view.states, item->id);
        sentence = before.set_aside && before.reached()
                       ? " is taken up again and stands as it did; open it once more to have it looked at again."
                       : " is open again.";
    }
    TRY(const EventId id, say(context, view.circle.id, kind::set_aside, codec::encode(body)));
    TRY(refresh_club_row(context));
    return Done{quoted(*item) + sentence, id};
}

}  // namespace ladderline::node
