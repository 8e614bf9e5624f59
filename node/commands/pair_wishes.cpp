#include "node/commands/pair_wishes.hpp"

#include <algorithm>

#include "node/commands/pair_state.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int64_t km_most = 20'000;  // half around the earth
constexpr std::size_t would_like_most = 2;
constexpr std::size_t words_most = 10;
constexpr std::int64_t beside_most = 20;

Error too_much(const char* what) {
    return {Fault::bad_input, "Name at most ten " + std::string(what) + " of one or a few words; nothing was changed."};
}

bool is_short(const std::vector<std::string>& words) {
    return words.size() <= words_most && std::all_of(words.begin(), words.end(), [](const std::string& word) {
               return word.size() <= limits::name_bytes_max;
           });
}

// "german " and "German" are one language.
std::vector<std::string> tidied(const std::vector<std::string>& languages) {
    std::vector<std::string> out;
    for (const std::string& typed : languages) {
        const std::size_t from = typed.find_first_not_of(" \t\n");
        if (from == std::string::npos) continue;
        std::string one = typed.substr(from, typed.find_last_not_of(" \t\n") + 1 - from);
        for (std::size_t k = 0; k < one.size(); ++k) {
            char& c = one[k];
            if (c >= 'A' && c <= 'Z' && k > 0) c = static_cast<char>(c - 'A' + 'a');
            if (c >= 'a' && c <= 'z' && k == 0) c = static_cast<char>(c - 'a' + 'A');
        }
        if (std::find(out.begin(), out.end(), one) == out.end()) out.push_back(std::move(one));
    }
    return out;
}

Result<PersonView> who_wishes(Context& context, const CircleId& club) {
    TRY(const PersonView me, myself(context, club));
    if (me.role == MemberRole::newcomer || me.role == MemberRole::mentor || me.role == MemberRole::officer) return me;
    return Error{Fault::refused, "Wishes for a pairing are said by newcomers and mentors; you are in the club as " +
                                     std::string(role_word(me.role)) + "."};
}

Result<std::vector<MemberId>> liked(Context& context, const CircleId& club, const PersonView& me,
                                    const std::vector<std::string>& names) {
    std::vector<MemberId> out;
    if (!names.empty() && me.role != MemberRole::newcomer) {
        return Error{Fault::bad_input, "Only newcomers name mentors whom they would like; nothing was changed."};
    }
    for (const std::string& name : names) {
        TRY(const PersonView mentor, find_mentor(context, club, name));
        if (std::find(out.begin(), out.end(), mentor.id) == out.end()) out.push_back(mentor.id);
    }
    if (out.size() > would_like_most) {
        return Error{Fault::bad_input, "Name at most two mentors whom you would like; nothing was changed."};
    }
    return out;
}

Result<void> take(Context& context, const CircleId& club, const PersonView& me, const WishRequest& request,
                  PairingWishBody& wish) {
    if (request.languages) {
        wish.languages = tidied(*request.languages);
        if (!is_short(wish.languages)) return too_much("languages");
    }
    if (request.goals) {
        wish.goals = *request.goals;
        if (!is_short(wish.goals)) return too_much("goals");
    }
    if (request.km_max) {
        if (*request.km_max < 0 || *request.km_max > km_most) {
            return Error{Fault::bad_input,
                         "A distance is 1 to 20000 kilometres, or 0 for no limit; nothing was changed."};
        }
        wish.km_max.reset();
        if (*request.km_max > 0) wish.km_max = static_cast<std::uint16_t>(*request.km_max);
    }
    if (request.remote) wish.remote = *request.remote;
    if (request.written) wish.written = *request.written;
    if (request.would_like) {
        TRY(wish.would_like, liked(context, club, me, *request.would_like));
    }
    return ok();
}

// The notes of the desk with one thing changed.
template <class Change>
Result<EventId> note(Context& context, const CircleId& club, Change change) {
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(PairState state, pair_state(context, club));
    PairingWishBody notes = std::move(state.notes);
    change(notes);
    if (notes.apart.size() > limits::list_max || notes.cleared.size() > limits::list_max) {
        return Error{Fault::bad_input,
                     "You have noted 64 of these already, which is all there is room for; take one "
                     "back first."};
    }
    std::vector<EventId> before;
    if (state.notes_id) before.push_back(*state.notes_id);
    return say(context, desk.id, kind::pairing_wish, codec::encode(notes), std::move(before));
}

Result<EventId> note_apart(Context& context, const CircleId& club, const MemberId& newcomer, const MemberId& mentor,
                           bool apart) {
    return note(context, club, [&](PairingWishBody& notes) {
        std::erase_if(notes.apart,
                      [&](const KeptApart& pair) { return pair.newcomer == newcomer && pair.mentor == mentor; });
        if (apart) notes.apart.push_back({newcomer, mentor});
    });
}

Result<void> officers_only(Context& context, const CircleId& club) {
    TRY(const PersonView me, myself(context, club));
    if (me.role == MemberRole::officer) return ok();
    return Error{Fault::refused, "That is for the club's officers; ask one of them."};
}

}  // namespace

Result<Done> change_wish(Context& context, const WishRequest& request) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PersonView me, who_wishes(context, club.id));
    TRY(const PairState state, pair_state(context, club.id));
    const PairingWishBody* present = state.wish_of(me.id);
    PairingWishBody wish = present != nullptr ? *present : PairingWishBody{};
    TRY(take(context, club.id, me, request, wish));
    wish.apart.clear();
    wish.cleared.clear();
    std::vector<EventId> before;
    for (const WishView& view : state.wishes) {
        if (view.by == me.id) before.push_back(view.id);
    }
    TRY(const EventId id, say(context, club.id, kind::pairing_wish, codec::encode(wish), std::move(before)));
    std::string sentence = "Your wishes are kept, and the club's officers use them when they propose pairs.";
    if (wish.km_max && !wish.remote && (!me.card || me.card->locator.empty())) {
        sentence += " Your card names no locator yet, so your distance cannot be worked out: add one to your card.";
    }
    return Done{sentence, id};
}

Result<OwnWish> own_wish(Context& context) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PersonView me, who_wishes(context, club.id));
    TRY(const PairState state, pair_state(context, club.id));
    TRY(const auto persons, people(context.db, club.id));
    OwnWish out;
    out.as_newcomer = me.role == MemberRole::newcomer;
    if (const PairingWishBody* wish = state.wish_of(me.id)) out.wish = *wish;
    for (const PersonView& person : persons) {
        const auto& wanted = out.wish.would_like;
        if (std::find(wanted.begin(), wanted.end(), person.id) != wanted.end()) out.would_like.push_back(person.name);
        if (state.kept_apart(me.id, person.id) || state.kept_apart(person.id, me.id)) {
            out.apart.emplace_back(person.id, person.name);
        }
    }
    return out;
}

Result<Done> not_with(Context& context, std::string_view who, bool apart) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PersonView me, who_wishes(context, club.id));
    TRY(const PersonView other, find_person(context, club.id, who));
    if (other.id == me.id) return Error{Fault::bad_input, "That is you; name somebody else."};
    const bool i_learn = me.role == MemberRole::newcomer;
    TRY(const EventId id, note_apart(context, club.id, i_learn ? me.id : other.id, i_learn ? other.id : me.id, apart));
    if (!apart) return Done{"Your note about " + other.name + " is gone.", id};
    return Done{"Noted on your own machines alone: rather not with " + other.name +
                    ". Nobody else sees it; if the two of you are ever proposed, this node reminds you, and you answer "
                    "'rather not' without a reason.",
                id};
}

Result<Done> keep_apart(Context& context, std::string_view newcomer_name, std::string_view mentor_name, bool apart) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(officers_only(context, club.id));
    TRY(const PersonView newcomer, find_person(context, club.id, newcomer_name));
    TRY(const PersonView mentor, find_mentor(context, club.id, mentor_name));
    if (newcomer.id == mentor.id) return Error{Fault::bad_input, "Name two people."};
    TRY(const EventId id, note_apart(context, club.id, newcomer.id, mentor.id, apart));
    const std::string both = newcomer.name + " and " + mentor.name;
    if (!apart) return Done{both + " may be proposed again.", id};
    return Done{both +
                    " are kept apart in your own proposals. The note stays on your machines; tell other officers "
                    "yourself.",
                id};
}

Result<Done> note_clearance(Context& context, std::string_view who, std::optional<Day> until, std::int64_t beside) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(officers_only(context, club.id));
    TRY(const PersonView person, find_person(context, club.id, who));
    if (person.is_minor) return Error{Fault::refused, person.name + " is under 18; a clearance is of adults."};
    if (beside < 0 || beside > beside_most) {
        return Error{Fault::bad_input, "Write how many newcomers they can stand beside, 0 to 20."};
    }
    if (until && *until < context.today()) {
        return Error{Fault::bad_input, "That day, " + to_iso(*until) + ", is over; nothing was noted."};
    }
    TRY(const EventId id, note(context, club.id, [&](PairingWishBody& notes) {
            std::erase_if(notes.cleared, [&](const ClearedAdult& adult) { return adult.who == person.id; });
            if (until) notes.cleared.push_back({person.id, *until, static_cast<std::uint8_t>(beside)});
        }));
    if (!until) return Done{"No clearance of " + person.name + " is noted any more.", id};
    return Done{
        "Noted on your own machines alone: the clearance of " + person.name + " holds until " + to_iso(*until) + ".",
        id};
}

}  // namespace ladderline::node
