#include "node/commands/pair_requests.hpp"

#include <algorithm>

#include "node/commands/pair_state.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::size_t asked_at_once_max = 3;
constexpr std::int32_t leave_alone_days = 30;  // after a "rather not"

ToSay step(const MemberId& newcomer, const MemberId& mentor, PairingStep what, Day day) {
    return {kind::pairing, codec::encode(PairingBody{newcomer, mentor, what, day})};
}

Result<const ClubNewcomer*> without_mentor(Context& context, const ClubPeople& people, std::string_view who) {
    TRY(const PersonView person, find_person(context, people.club.id, who));
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.person.id != person.id) continue;
        if (!newcomer.mentor) return &newcomer;
        return Error{Fault::refused, person.name + " is with " + people.name_of(*newcomer.mentor) +
                                         "; end that pairing first, or let them hand over."};
    }
    return Error{Fault::bad_input,
                 person.name + " is in the club as " + std::string(role_word(person.role)) + ", not as a newcomer."};
}

Result<PersonView> mentor_to_ask(Context& context, const PairState& state, const ClubPeople& people,
                                 const ClubNewcomer& newcomer, std::string_view who) {
    TRY(const PersonView mentor, find_mentor(context, people.club.id, who));
    const std::string both = newcomer.person.name + " and " + mentor.name;
    if (mentor.card && mentor.card->resting)
        return Error{Fault::refused, mentor.name + " is resting; ask somebody else."};
    if (state.kept_apart(newcomer.person.id, mentor.id)) {
        return Error{Fault::refused, "You noted that " + both + " are kept apart; nobody was asked."};
    }
    const PairingView* pair = state.find(newcomer.person.id, mentor.id);
    if (pair != nullptr && pair->step == PairingStep::proposed) {
        return Error{Fault::refused, both + " have been asked already, on " + to_iso(pair->day) + "."};
    }
    const bool lately = pair != nullptr && pair->step == PairingStep::declined &&
                        days_between(pair->day, context.today()) < leave_alone_days;
    if (lately) {
        return Error{Fault::refused,
                     both + " were asked not long ago and it did not come about; leave it for a month."};
    }
    return mentor;
}

std::string joined(const std::vector<std::string>& names) {
    std::string out;
    for (std::size_t k = 0; k < names.size(); ++k) {
        out += (k == 0 ? "" : k + 1 == names.size() ? " and " : ", ") + names[k];
    }
    return out;
}

// The open proposal between this node's owner and somebody, and who that is.
struct OwnProposal {
    PairingView pair;
    PersonView other;
    bool as_newcomer = false;
};

Result<OwnProposal> own_proposal(Context& context, const PairState& state, const CircleId& club, std::string_view who) {
    TRY(const PersonView other, find_person(context, club, who));
    const MemberId me = context.me.id();
    for (const PairingView& pair : state.open()) {
        if (pair.newcomer == me && pair.mentor == other.id) return OwnProposal{pair, other, true};
        if (pair.mentor == me && pair.newcomer == other.id) return OwnProposal{pair, other, false};
    }
    return Error{Fault::not_found, "No pairing of you and " + other.name + " is proposed; nothing was stored."};
}

Result<void> may_say_yes(Context& context, const PairState& state, const CircleId& club, const OwnProposal& proposal) {
    if (!proposal.as_newcomer) return ok();
    for (const PairingView& pair : state.open()) {
        if (pair.newcomer != context.me.id() || pair.mentor == proposal.other.id || !pair.newcomer_said_yes) continue;
        TRY(const auto persons, people(context.db, club));
        const auto first = std::find_if(persons.begin(), persons.end(),
                                        [&](const PersonView& person) { return person.id == pair.mentor; });
        if (first == persons.end()) continue;
        return Error{Fault::refused, "You have said yes to " + first->name +
                                         "; wait for their answer, or say 'rather "
                                         "not' there first."};
    }
    ClubNewcomer mine;
    TRY(mine.person, myself(context, club));
    mine.is_minor = mine.person.is_minor;
    return adults_on_path(context, mine);
}

}  // namespace

Result<Done> ask_pair(Context& context, std::string_view newcomer_name, const std::vector<std::string>& mentors) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const PairState state, pair_state(context, people.club.id));
    TRY(const ClubNewcomer* newcomer, without_mentor(context, people, newcomer_name));
    if (mentors.empty() || mentors.size() > asked_at_once_max) {
        return Error{Fault::bad_input, "Name one mentor, or up to three to choose from; nobody was asked."};
    }
    std::vector<ToSay> words;
    std::vector<std::string> names;
    std::vector<MemberId> chosen;
    for (const std::string& name : mentors) {
        TRY(const PersonView mentor, mentor_to_ask(context, state, people, *newcomer, name));
        if (std::find(chosen.begin(), chosen.end(), mentor.id) != chosen.end()) continue;
        chosen.push_back(mentor.id);
        names.push_back(mentor.name);
        words.push_back(step(newcomer->person.id, mentor.id, PairingStep::proposed, context.today()));
    }
    TRY(adults_on_path(context, *newcomer));
    TRY(const EventId id, say_together(context, people.club.id, std::move(words)));
    const std::string& who = newcomer->person.name;
    const std::string question =
        names.size() == 1 ? who + " and " + names.front() + " are asked whether they suit each other"
                          : who + " is asked to choose among " + joined(names) + ", and they are asked as well";
    return Done{question + ". Each says yes or rather not, without a reason; with two yeses the pairing stands.", id};
}

Result<Done> withdraw_pair(Context& context, std::string_view newcomer_name, std::string_view mentor_name) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const PairState state, pair_state(context, people.club.id));
    TRY(const PersonView newcomer, find_person(context, people.club.id, newcomer_name));
    TRY(const PersonView mentor, find_person(context, people.club.id, mentor_name));
    const PairingView* pair = state.find(newcomer.id, mentor.id);
    if (pair == nullptr || pair->step != PairingStep::proposed) {
        return Error{Fault::not_found,
                     "No pairing of " + newcomer.name + " and " + mentor.name + " is proposed; nothing was stored."};
    }
    // An ended proposal, not a declined one: nobody has said "rather not".
    TRY(const EventId id,
        say_together(context, people.club.id, {step(newcomer.id, mentor.id, PairingStep::ended, context.today())}));
    return Done{"The proposal of " + newcomer.name + " and " + mentor.name + " is taken back.", id};
}

Result<Done> answer_pair(Context& context, std::string_view other, bool yes) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PairState state, pair_state(context, club.id));
    TRY(const OwnProposal own, own_proposal(context, state, club.id, other));
    const PairingStep what = yes ? PairingStep::agreed : PairingStep::declined;
    const bool had_said_yes = own.as_newcomer ? own.pair.newcomer_said_yes : own.pair.mentor_said_yes;
    if (yes && had_said_yes) {
        return Error{Fault::refused,
                     "You have said yes to " + own.other.name + " already; their answer is not here yet."};
    }
    if (yes) {
        TRY(may_say_yes(context, state, club.id, own));
    }
    TRY(const EventId id,
        say_together(context, club.id, {step(own.pair.newcomer, own.pair.mentor, what, context.today())}));
    if (!yes) return Done{"Rather not, then. No reason is asked, and it is held against nobody.", id};
    const bool both = own.as_newcomer ? own.pair.mentor_said_yes : own.pair.newcomer_said_yes;
    if (!both) return Done{"You said yes. The pairing stands as soon as " + own.other.name + " says yes too.", id};
    return Done{"You and " + own.other.name + " are paired from today.", id};
}

}  // namespace ladderline::node
