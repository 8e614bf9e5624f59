#include "node/commands/pair_state.hpp"

#include <algorithm>
#include <set>

#include "node/read_models/present.hpp"
#include "protocol/event/kinds.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

template <class List, class Test>
auto* first_of(List& list, Test test) {
    const auto found = std::find_if(list.begin(), list.end(), test);
    return found == list.end() ? nullptr : &*found;
}

}  // namespace

const PairingWishBody* PairState::wish_of(const MemberId& person) const {
    const auto found = std::lower_bound(wishes.begin(), wishes.end(), person,
                                        [](const WishView& view, const MemberId& id) { return view.by < id; });
    return found == wishes.end() || found->by != person ? nullptr : &found->wish;
}

const PairingView* PairState::standing_of(const MemberId& newcomer) const {
    return first_of(
        pairs, [&](const PairingView& pair) { return pair.newcomer == newcomer && pair.step == PairingStep::agreed; });
}

std::vector<PairingView> PairState::open() const {
    std::set<MemberId> paired;
    for (const PairingView& pair : pairs) {
        if (pair.step == PairingStep::agreed) paired.insert(pair.newcomer);
    }
    std::vector<PairingView> out;
    for (const PairingView& pair : pairs) {
        if (pair.step == PairingStep::proposed && !paired.contains(pair.newcomer)) out.push_back(pair);
    }
    return out;
}

const PairingView* PairState::find(const MemberId& newcomer, const MemberId& mentor) const {
    return first_of(pairs, [&](const PairingView& pair) { return pair.newcomer == newcomer && pair.mentor == mentor; });
}

bool PairState::kept_apart(const MemberId& newcomer, const MemberId& mentor) const {
    return first_of(notes.apart, [&](const KeptApart& pair) {
               return pair.newcomer == newcomer && pair.mentor == mentor;
           }) != nullptr;
}

bool PairState::not_taken_up(const MemberId& newcomer, const MemberId& mentor, Day today) const {
    const PairingView* pair = find(newcomer, mentor);
    return pair != nullptr && is_not_taken_up(*pair, today);
}

bool PairState::is_not_taken_up(const PairingView& pair, Day today) {
    return pair.step == PairingStep::declined && days_between(pair.day, today) < not_taken_up_days;
}

bool PairState::left_alone(const MemberId& newcomer) const {
    std::optional<Day> since;
    for (const PairingWordView& word : words) {
        if (word.what.word == PairingWord::out_of_reach && word.what.newcomer == newcomer) since = word.what.day;
    }
    if (!since) return false;
    return std::none_of(pairs.begin(), pairs.end(), [&](const PairingView& pair) {
        if (pair.newcomer != newcomer) return false;
        return pair.step == PairingStep::agreed ||
               (pair.step == PairingStep::ended && pair.were_together && pair.day > *since);
    });
}

bool PairState::out_of_reach(const MemberId& mentor) const {
    const auto card = cards.find(mentor);
    return std::any_of(words.begin(), words.end(), [&](const PairingWordView& word) {
        return word.what.word == PairingWord::out_of_reach && word.what.mentor == mentor &&
               (card == cards.end() || card->second <= word.said);
    });
}

const ClearedAdult* PairState::clearance_of(const MemberId& person) const {
    return first_of(notes.cleared, [&](const ClearedAdult& adult) { return adult.who == person; });
}

namespace {

// Drops pairs that would stand or be open but for one who left the club.
Result<void> drop_parted(Context& context, const CircleId& club, std::vector<PairingView>& pairs) {
    if (pairs.empty()) return ok();
    TRY(const auto here, members_present(context.db, club));
    std::erase_if(pairs, [&](const PairingView& pair) {
        const bool is_open = pair.step == PairingStep::proposed || pair.step == PairingStep::agreed;
        return is_open && !(here.contains(pair.newcomer) && here.contains(pair.mentor));
    });
    return ok();
}

// Asked for only where somebody was out of reach: the cards of a big club take long to read.
Result<void> read_cards(Context& context, const CircleId& club, PairState& out) {
    const bool is_asked = std::any_of(out.words.begin(), out.words.end(), [](const PairingWordView& word) {
        return word.what.word == PairingWord::out_of_reach;
    });
    if (!is_asked) return ok();
    TRY(const auto cards, shown(context.db, club, kind::card));
    for (const ShownView& card : cards) out.cards[card.by] = card.said;
    return ok();
}

}  // namespace

Result<PairState> pair_state(Context& context, const CircleId& club) {
    PairState out;
    TRY(out.pairs, pairings(context.db, club));
    TRY(drop_parted(context, club, out.pairs));
    TRY(out.wishes, pairing_wishes(context.db, club));
    TRY(out.words, pairing_words(context.db, club));
    TRY(read_cards(context, club, out));
    const auto desk = own_circle(context, CircleKind::desk);
    if (!desk) return out;
    TRY(auto notes, pairing_wishes(context.db, desk.value().id));
    for (WishView& view : notes) {
        if (view.by != context.me.id()) continue;
        out.notes = std::move(view.wish);
        out.notes_id = view.id;
    }
    return out;
}

Result<EventId> say_together(Context& context, const CircleId& circle, std::vector<ToSay> words) {
    ENSURE(!words.empty());
    EventId first;
    {
        TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
        for (std::size_t k = 0; k < words.size(); ++k) {
            TRY(const EventId id,
                context.log.append_within({circle, words[k].kind, std::move(words[k].payload), {}}, context.now()));
            if (k == 0) first = id;
        }
        TRY(tx.commit());
    }
    context.news(circle);
    return first;
}

Result<PersonView> find_mentor(Context& context, const CircleId& club, std::string_view who) {
    TRY(const PersonView person, find_person(context, club, who));
    if (person.is_minor) return Error{Fault::refused, person.name + " is under 18; a mentor is of age."};
    if (person.role != MemberRole::mentor && person.role != MemberRole::officer) {
        return Error{Fault::bad_input,
                     person.name + " is in the club as " + std::string(role_word(person.role)) + ", not as a mentor."};
    }
    return person;
}

}  // namespace ladderline::node
