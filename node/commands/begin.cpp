#include <algorithm>

#include "node/commands/circles.hpp"
#include "node/commands/club_row.hpp"
#include "node/commands/joined_words.hpp"
#include "node/commands/known_dates.hpp"
#include "node/commands/own_clubs.hpp"
#include "node/domain/meeting/local_time.hpp"
#include "node/domain/radio/locator.hpp"
#include "node/domain/rules/call_sign.hpp"
#include "protocol/event/kinds.hpp"
#include "store/circles/peers.hpp"
#include "store/settings/settings.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::string_view card_setting = "card";
constexpr std::string_view owner_setting = "owner_name";
constexpr std::string_view under_18_setting = "owner_under_18";

Result<void> check_name(const std::string& name) {
    if (name.empty()) return Error{Fault::bad_input, "Say the name you want to be called: --name NAME."};
    if (name.size() > limits::name_bytes_max)
        return Error{Fault::bad_input, "That name is too long; use a shorter one."};
    if (!is_utf8(name)) return Error{Fault::bad_input, "That name holds bytes that are no letters."};
    return ok();
}

Result<void> check_list(const std::vector<std::string>& list, const char* what) {
    const bool fits =
        list.size() <= limits::list_max && std::all_of(list.begin(), list.end(), [](const std::string& one) {
            return one.size() <= limits::name_bytes_max && is_utf8(one);
        });
    if (fits) return ok();
    return Error{Fault::bad_input,
                 "A card holds at most 64 " + std::string(what) + ", a few words each; nothing was changed."};
}

Result<std::string> shared_locator(const std::string& locator) {
    if (locator.empty()) return locator;
    TRY(const domain::Locator parsed, domain::Locator::parse(locator));
    return parsed.cut_to(domain::LocatorLength::four).text();
}

Result<void> publish_card(Context& context, const CircleId& circle, const CardBody& card) {
    std::vector<EventId> supersedes;
    TRY(const auto cards, shown(context.db, circle, kind::card));
    for (const ShownView& view : cards) {
        if (view.by == context.me.id()) supersedes.push_back(view.id);
    }
    TRY(say(context, circle, kind::card, codec::encode(card), std::move(supersedes)));
    return ok();
}

// The names of clubs that are left out: they came unasked beside one that the owner chose.
Result<std::string> publish_everywhere(Context& context, const CardBody& card) {
    std::string left_out;
    const auto club = own_circle(context, CircleKind::club);
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind == CircleKind::desk || !myself(context, circle.id)) continue;
        TRY(const bool unasked, came_unasked(context, circle.id));
        if (circle.kind == CircleKind::club && unasked && club && club.value().id != circle.id) {
            left_out += (left_out.empty() ? "" : " and ") + circle.name;
            continue;
        }
        TRY(publish_card(context, circle.id, card));
    }
    return left_out;
}

Result<CardBody> first_card(const BeginRequest& request) {
    CardBody card;
    card.name = request.name;
    if (!request.call_sign.empty()) {
        TRY(const auto call, domain::parse_us_call_sign(request.call_sign));
        card.call_sign = call.text();
    }
    TRY(card.locator, shared_locator(request.locator));
    card.zone = request.zone;
    if (!card.zone.empty()) {
        TRY(domain::Zone::find(card.zone));
    }
    return card;
}

FoundBody found_body(const Context& context, const BeginRequest& request, CircleKind kind, std::string name) {
    return {kind, std::move(name), request.role, level_max, request.name, request.under_18, context.me.certificate};
}

Result<std::string> class_code(const std::string& typed) {
    if (typed.empty()) return std::string();
    const domain::RuleBook& book = own_rule_book();
    if (const domain::LicenceClass* found = book.find_class(typed)) return found->code;
    std::string known;
    for (const auto& c : book.classes) known += (known.empty() ? "" : ", ") + c.code + " (" + c.name + ")";
    return Error{Fault::bad_input,
                 "There is no class '" + typed + "'; there are " + known + ". Your card stays as it was."};
}

}  // namespace

Result<void> open_desk(Context& context, const BeginRequest& who, const CardBody& card) {
    TRY(store::put_setting(context.db, card_setting, codec::encode(card)));
    TRY(store::put_text_setting(context.db, owner_setting, who.name));
    TRY(store::put_text_setting(context.db, under_18_setting, who.under_18 ? "yes" : "no"));
    TRY(context.log.found_within(codec::encode(found_body(context, who, CircleKind::desk, "desk")), context.now()));
    return ok();
}

Result<CardBody> own_card(Context& context) {
    TRY(const auto stored, store::get_setting(context.db, card_setting));
    if (!stored) return Error{Fault::not_found, "This store has no owner yet; begin with 'ladderline begin'."};
    return codec::decode<CardBody>(*stored);
}

Result<void> check_begin(const BeginRequest& request) {
    TRY(check_name(request.name));
    if (!request.club.empty() && request.role != MemberRole::officer) {
        return Error{Fault::bad_input, "A club is founded by an officer: begin --as officer --club NAME."};
    }
    if (request.role == MemberRole::officer && request.club.empty()) {
        return Error{Fault::bad_input, "An officer begins a club: say its name with --club NAME."};
    }
    if (request.under_18 && request.role != MemberRole::newcomer) {
        return Error{Fault::bad_input, "Somebody under 18 begins as a newcomer."};
    }
    if (!request.club.empty()) {
        TRY(check_name(request.club));
    }
    TRY(first_card(request));
    return ok();
}

Result<Done> begin(Context& context, const BeginRequest& request) {
    TRY(check_begin(request));
    if (own_circle(context, CircleKind::desk)) {
        return Error{Fault::refused, "This store has an owner already; nothing was changed."};
    }
    TRY(const CardBody card, first_card(request));
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    TRY(open_desk(context, request, card));
    std::string sentence = "Welcome, " + request.name + ". Your store is ready";
    if (request.role == MemberRole::newcomer) {
        TRY(context.log.found_within(codec::encode(found_body(context, request, CircleKind::path, request.name)),
                                     context.now()));
        sentence += ", and your way begins; see 'ladderline next'";
    }
    if (!request.club.empty()) {
        TRY(context.log.found_within(codec::encode(found_body(context, request, CircleKind::club, request.club)),
                                     context.now()));
        sentence += ", and the club " + request.club + " is founded";
    }
    TRY(tx.commit());
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind != CircleKind::desk) {
            TRY(publish_card(context, circle.id, card));
        }
    }
    return Done{sentence + ". Your spare key waits to be written down: see 'ladderline paper'.", {}};
}

Result<void> show_card(Context& context, const CircleId& circle) {
    TRY(const CardBody card, own_card(context));
    return publish_card(context, circle, card);
}

Result<Done> accept_welcome(Context& context, const WelcomeMessage::Joined& joined) {
    if (joined.key.size() != AeadKey::size)
        return Error{Fault::peer, "The answer to the invite makes no sense; ask for a new one."};
    TRY(store::remember_welcome(context.db, joined.circle, joined.host.device, joined.host.noise));
    TRY(context.log.add_key(joined.circle, AeadKey::copy_of(joined.key)));
    // Somebody who comes back is shown once their return has been synced: what they say before does not count.
    if (!context.states.of(joined.circle)) {
        TRY(show_card(context, joined.circle));
    }
    context.news(joined.circle);
    return Done{std::string(joined_words), {}};
}

Result<Done> change_card(Context& context, const CardRequest& request) {
    TRY(CardBody card, own_card(context));
    if (request.call_sign) {
        card.call_sign.clear();
        if (!request.call_sign->empty()) {
            TRY(const auto call, domain::parse_us_call_sign(*request.call_sign));
            card.call_sign = call.text();
        }
    }
    if (request.licence_class) {
        TRY(card.licence_class, class_code(*request.licence_class));
    }
    if (request.locator) {
        TRY(card.locator, shared_locator(*request.locator));
    }
    if (request.zone) {
        TRY(domain::Zone::find(*request.zone));
        card.zone = *request.zone;
    }
    TRY(check_list(request.topics.value_or(std::vector<std::string>()), "topics"));
    TRY(check_list(request.bands.value_or(std::vector<std::string>()), "bands"));
    if (request.windows && request.windows->size() > limits::list_max) {
        return Error{Fault::bad_input, "That is more weekly times than a card can hold; nothing was changed."};
    }
    if (request.room) card.room = *request.room;
    if (request.topics) card.topics = *request.topics;
    if (request.bands) card.bands = *request.bands;
    if (request.windows) card.windows = *request.windows;
    if (request.resting) card.resting = *request.resting;
    TRY(store::put_setting(context.db, card_setting, codec::encode(card)));
    TRY(const std::string left_out, publish_everywhere(context, card));
    TRY(refresh_club_row(context));
    if (left_out.empty()) return Done{"Your card is up to date in every circle you are in.", {}};
    return Done{"Your card is up to date in every circle you are in but " + left_out +
                    ", which you did not join: its key came unasked. 'ladderline leave club' with its name ends that.",
                {}};
}

}  // namespace ladderline::node
