#include "node/commands/couriers.hpp"

#include <algorithm>

#include "node/commands/circles.hpp"
#include "protocol/circle/epochs.hpp"
#include "protocol/crypto/hash.hpp"
#include "protocol/event/kinds.hpp"
#include "store/courier/courier_model.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::string_view courier_setting = "courier";
constexpr std::size_t seed_bytes = 32;
constexpr std::size_t digits_shown = 8;
constexpr std::uint64_t mebibyte = 1024 * 1024;
constexpr std::int64_t day_ms = 86'400'000;

std::string title_of(const CircleView& circle) {
    switch (circle.kind) {
        case CircleKind::club:
            return "Club " + circle.name;
        case CircleKind::path:
            return "Path of " + circle.name;
        case CircleKind::desk:
            break;
    }
    return "Desk";
}

Result<void> check_right(Context& context, const CircleView& circle) {
    TRY(const CircleState state, context.state_of(circle.id));
    const auto allowed = may_rotate(state, context.me.id());
    if (allowed) return ok();
    return Error{Fault::refused,
                 "A courier is named, or given up, by whoever may change the circle's key: a club's officers, a path's "
                 "newcomer or guardian. Nothing was changed."};
}

std::string trouble_of(const store::VisitNote& note) {
    std::string out = note.note;
    const auto add = [&](const std::string& sentence) { out += (out.empty() ? "" : " ") + sentence; };
    if (note.full) add("The courier has no more room for this circle; what is there can still be fetched.");
    if (note.lacked > 0) {
        add("It lacked " + std::to_string(note.lacked) + (note.lacked == 1 ? " event" : " events") +
            " that it had given a receipt for: it lost or withholds what it was given. They were sent again.");
    }
    return out;
}

Result<CourierSight> sight_of_courier(Context& context, const CircleView& circle, const store::CircleCourier& one) {
    const store::AtCourier at{circle.id, one.said.noise};
    TRY(const auto receipt, store::receipt_of(context.db, at));
    TRY(const auto note, store::visit_note(context.db, at));
    CourierSight out;
    out.circle = title_of(circle);
    out.circle_id = circle.id;
    out.address = one.said.address;
    out.key = to_hex(one.said.noise.view()).substr(0, digits_shown);
    out.quota_bytes = one.said.quota_bytes;
    out.used_bytes = note.used_bytes;
    out.days = one.said.days;
    if (receipt && receipt->covered > 0) out.stored_at = receipt->receipt.at;
    TRY(out.own_beyond, store::events_beyond(context.db, circle.id, receipt ? receipt->covered : 0, true));
    out.last_ok = note.last_ok;
    out.trouble = trouble_of(note);
    return out;
}

}  // namespace

Result<PlaceWish> wish_for_place(Context& context, const CircleView& circle, std::string_view address,
                                 std::string_view code) {
    TRY(check_right(context, circle));
    if (address.size() > limits::name_bytes_max) {
        return Error{Fault::bad_input, "That address is too long; nothing was changed."};
    }
    const auto parsed = parse_code(code);
    if (!parsed) {
        return Error{Fault::bad_input,
                     "That courier code is not complete or has a typing mistake; nothing was changed. Check it against "
                     "the original."};
    }
    PlaceWish out{circle, std::string(address), parsed.value().id, parsed.value().secret, {}, {}};
    out.seed = SecretBytes::random(seed_bytes, context.env.random);
    TRY(const AeadKey key, context.log.current_key(circle.id));
    out.words = {circle.id, access_keys(circle.id, key).pub, sign_keys_from_seed(out.seed.view()).pub};
    return out;
}

Result<Done> announce_courier(Context& context, const PlaceWish& wish, const PlacedMessage::Place& place) {
    const store::AtCourier at{wish.circle.id, place.noise};
    TRY(store::forget_courier(context.db, at));
    TRY(store::keep_registrar(context.db, at, wish.seed.view(), wish.words.access, wish.address));
    const CourierBody body{wish.address, place.noise, place.signing, place.quota_bytes, place.days, false};
    TRY(auto before, store::words_about_courier(context.db, wish.circle.id, place.noise));
    TRY(const EventId id, say(context, wish.circle.id, kind::courier, codec::encode(body), std::move(before)));
    return Done{"The courier at " + wish.address + " keeps sealed copies of this circle now: up to " +
                    std::to_string(place.quota_bytes / mebibyte) + " MiB, and for " + std::to_string(place.days) +
                    " days after the last visit. Your people's nodes call it by themselves once they hear of it; the "
                    "sealed news never go over amateur frequencies.",
                id};
}

Result<Withdrawn> withdraw_couriers(Context& context, const CircleView& circle, std::string_view address) {
    TRY(check_right(context, circle));
    TRY(const auto all, store::couriers_of(context.db, circle.id));
    Withdrawn out;
    for (const store::CircleCourier& one : all) {
        if (!address.empty() && one.said.address != address) continue;
        const store::AtCourier at{circle.id, one.said.noise};
        TRY(const auto registrar, store::registrar_of(context.db, at));
        if (registrar) {
            TRY(store::want_stop(context.db, at));
            out.to_stop.push_back(at);
        }
        CourierBody body = one.said;
        body.withdrawn = true;
        TRY(auto before, store::words_about_courier(context.db, circle.id, body.noise));
        TRY(say(context, circle.id, kind::courier, codec::encode(body), std::move(before)));
        out.couriers += 1;
    }
    if (out.couriers > 0) return out;
    return Error{Fault::not_found,
                 address.empty() ? "This circle has no courier; nothing was changed."
                                 : "This circle has no courier at " + std::string(address) + "; nothing was changed."};
}

Result<std::vector<CourierSight>> courier_sights(Context& context) {
    std::vector<CourierSight> out;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        TRY(const auto couriers, store::couriers_of(context.db, circle.id));
        for (const store::CircleCourier& one : couriers) {
            TRY(CourierSight sight, sight_of_courier(context, circle, one));
            out.push_back(std::move(sight));
        }
    }
    return out;
}

Result<std::vector<CourierSight>> courier_sights(Context& context, const CircleId& circle) {
    TRY(auto all, courier_sights(context));
    std::erase_if(all, [&](const CourierSight& sight) { return sight.circle_id != circle; });
    return all;
}

std::string in_words(const CourierSight& sight) {
    std::string out = sight.stored_at ? "stored at " + sight.address + " on " + to_iso_minute(*sight.stored_at)
                                      : "courier at " + sight.address + ", which has given no receipt yet";
    if (sight.own_beyond == 0) {
        out += "; all that you have written is covered";
    } else {
        out += "; " + std::to_string(sight.own_beyond) + (sight.own_beyond == 1 ? " event" : " events") +
               " of yours not covered yet";
    }
    out += "; kept for " + std::to_string(sight.days) + " days after the last visit";
    if (!sight.trouble.empty()) out += ". " + sight.trouble;
    if (out.ends_with('.')) out.pop_back();
    return out;
}

Result<bool> is_courier(store::sqlite::Database& db) {
    TRY(const auto said, store::get_text_setting(db, courier_setting));
    return said == "yes";
}

Result<Done> begin_courier(Context& context) {
    TRY(store::put_text_setting(context.db, "owner_name", "a courier"));
    TRY(store::put_text_setting(context.db, courier_setting, "yes"));
    return Done{
        "This store is a courier's now. It will keep sealed copies for circles that it can never read; 'ladderline "
        "run' starts it, 'ladderline courier place' gives out a place. To start it unattended, make a key file with "
        "'ladderline key-file PATH'.",
        {}};
}

Result<GivenPlace> give_place(Context& context, const PlaceRequest& request) {
    if (request.mebibytes < 1 || request.mebibytes > limits::courier_quota_mib_max) {
        return Error{Fault::bad_input, "A place holds 1 to 1048576 MiB; no code was made."};
    }
    if (request.days < 1 || request.days > limits::courier_days_max) {
        return Error{Fault::bad_input, "A place is kept for 1 to 3650 days without a visit; no code was made."};
    }
    if (request.good_for < 1 || request.good_for > 60) {
        return Error{Fault::bad_input, "A code is good for 1 to 60 days; no code was made."};
    }
    store::CourierCode code;
    InviteCode words;
    words.secret.resize(Psk::size);
    context.env.random.fill(words.secret);
    TRY(words, parse_code(to_code(words)));
    code.id = words.id;
    code.secret = words.secret;
    code.quota_bytes = request.mebibytes * mebibyte;
    code.days = request.days;
    code.expires = {context.now().ms + request.good_for * day_ms};
    TRY(store::add_courier_code(context.db, code));
    return GivenPlace{to_code(words), code.expires};
}

Result<std::vector<store::PlaceLine>> given_places(Context& context) {
    return store::courier_places(context.db);
}

Result<Done> end_place(Context& context, std::string_view start) {
    TRY(const auto all, store::courier_places(context.db));
    std::vector<CircleId> meant;
    for (const store::PlaceLine& line : all) {
        if (start.size() >= 4 && to_hex(line.circle.view()).starts_with(start)) meant.push_back(line.circle);
    }
    if (meant.size() != 1) {
        return Error{Fault::not_found, meant.empty() ? "No place begins with '" + std::string(start) +
                                                           "'; give at least four digits that 'ladderline courier "
                                                           "list' shows. Nothing was removed."
                                                     : "Several places begin with '" + std::string(start) +
                                                           "'; give more digits. Nothing was removed."};
    }
    TRY(store::remove_place(context.db, meant.front()));
    return Done{"The place is ended, and everything in it removed. Its members' own stores are as they were.", {}};
}

}  // namespace ladderline::node
