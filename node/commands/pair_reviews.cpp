#include "node/commands/pair_reviews.hpp"

#include <algorithm>

#include "node/domain/licence/clocks.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

ToSay step(const MemberId& newcomer, const MemberId& mentor, PairingStep what, Day day) {
    return {kind::pairing, codec::encode(PairingBody{newcomer, mentor, what, day})};
}

ToSay word(PairingReviewBody body) {
    return {kind::pairing_review, codec::encode(body)};
}

std::optional<std::uint16_t> stage_of(Day since, Day today) {
    const domain::Clocks& clocks = domain::shipped_clocks();
    std::optional<std::uint16_t> out;
    for (const std::int32_t days : {clocks.review_1_days, clocks.review_2_days, clocks.review_3_days}) {
        if (since + days <= today) out = static_cast<std::uint16_t>(days);
    }
    return out;
}

std::string review_in_words(const ReviewLineOfClub& line) {
    const auto said = [](const std::optional<PairingWord>& one) {
        return one ? std::string(in_words(*one)) : std::string("not answered yet");
    };
    return line.newcomer_name + " and " + line.mentor_name + ", after " + std::to_string(line.review.after_days) +
           " days: " + line.newcomer_name + ": " + said(line.review.newcomer_said) + "; " + line.mentor_name + ": " +
           said(line.review.mentor_said) + ".";
}

// The standing pairing of this newcomer, which this node's owner may hand over.
Result<PairingView> pair_to_hand_over(Context& context, const PairState& state, const CircleId& club,
                                      const PersonView& newcomer) {
    TRY(const PersonView me, myself(context, club));
    const PairingView* pair = state.standing_of(newcomer.id);
    if (pair == nullptr) {
        return Error{Fault::not_found, newcomer.name + " has no mentor by a pairing; nothing was stored."};
    }
    if (pair->mentor == me.id || me.role == MemberRole::officer) return *pair;
    return Error{Fault::refused, "A newcomer is handed over by their mentor, or by an officer."};
}

Result<void> may_be_next(const PairState& state, const PairingView& pair, const PersonView& newcomer,
                         const PersonView& next) {
    if (next.id == pair.mentor) return Error{Fault::bad_input, next.name + " is the mentor now; name another one."};
    if (next.card && next.card->resting) return Error{Fault::refused, next.name + " is resting; name another one."};
    const PairingView* asked = state.find(newcomer.id, next.id);
    if (asked != nullptr && asked->step == PairingStep::proposed) {
        return Error{Fault::refused, newcomer.name + " and " + next.name + " have been asked already."};
    }
    if (state.kept_apart(newcomer.id, next.id)) {
        return Error{Fault::refused, "You noted that " + newcomer.name + " and " + next.name + " are kept apart."};
    }
    return ok();
}

std::string listed(const std::vector<std::string>& names) {
    std::string out;
    for (std::size_t k = 0; k < names.size(); ++k) {
        out += (k == 0 ? "" : k + 1 == names.size() ? " and " : ", ") + names[k];
    }
    return out;
}

}  // namespace

std::string_view in_words(PairingWord word) {
    switch (word) {
        case PairingWord::goes_well:
            return "goes well";
        case PairingWord::needs_a_talk:
            return "needs a talk";
        case PairingWord::let_us_end:
            return "let us end it";
        case PairingWord::handed_over:
            return "handed over";
        case PairingWord::out_of_reach:
            return "cannot be reached";
    }
    return {};
}

PairingWord most_serious(const std::vector<PairingWord>& answers) {
    ENSURE(!answers.empty());
    return *std::max_element(answers.begin(), answers.end());
}

std::optional<ReviewNow> review_now(const PairState& state, const PairingView& pair, Day today) {
    const auto stage = stage_of(pair.day, today);
    if (!stage) return std::nullopt;
    ReviewNow out;
    out.after_days = *stage;
    out.due = pair.day + *stage;
    for (const PairingWordView& said : state.words) {
        const PairingReviewBody& what = said.what;
        const bool is_meant = what.newcomer == pair.newcomer && what.mentor == pair.mentor &&
                              what.after_days == *stage && what.day >= out.due && what.word <= PairingWord::let_us_end;
        if (!is_meant) continue;
        (said.by == pair.newcomer ? out.newcomer_said : out.mentor_said) = what.word;
    }
    return out;
}

Result<Done> review_pair(Context& context, std::string_view other, PairingWord said) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PairState state, pair_state(context, club.id));
    TRY(const PersonView person, find_person(context, club.id, other));
    ENSURE(said <= PairingWord::let_us_end);
    const MemberId me = context.me.id();
    const PairingView* pair = state.find(me, person.id);
    if (pair == nullptr || pair->step != PairingStep::agreed) pair = state.find(person.id, me);
    if (pair == nullptr || pair->step != PairingStep::agreed) {
        return Error{Fault::not_found, "You and " + person.name + " are not paired; nothing was stored."};
    }
    const auto review = review_now(state, *pair, context.today());
    if (!review) {
        const Day first = pair->day + domain::shipped_clocks().review_1_days;
        return Error{Fault::refused, "The first look at your pairing is on " + to_iso(first) +
                                         "; talk with each other, or with an officer, at any time."};
    }
    PairingReviewBody body{pair->newcomer, pair->mentor, said, review->after_days, context.today(), {}, {}};
    TRY(const EventId id, say_together(context, club.id, {word(std::move(body))}));
    std::string sentence = "Kept: " + std::string(in_words(said)) + ".";
    if (said == PairingWord::needs_a_talk) sentence += " The officers see it and will ask you both.";
    if (said == PairingWord::let_us_end) {
        sentence += " Nothing has ended yet: either of you, or an officer, ends it with thanks.";
    }
    return Done{sentence, id};
}

Result<std::vector<ReviewLineOfClub>> reviews_open(Context& context) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const PairState state, pair_state(context, people.club.id));
    return reviews_open(context, people, state);
}

Result<std::vector<ReviewLineOfClub>> reviews_open(Context& context, const ClubPeople& people, const PairState& state) {
    std::vector<ReviewLineOfClub> out;
    for (const PairingView& pair : people.standing) {
        const auto review = review_now(state, pair, context.today());
        if (!review) continue;
        if (review->newcomer_said == PairingWord::goes_well && review->mentor_said == PairingWord::goes_well) continue;
        out.push_back(
            {pair.newcomer, pair.mentor, people.name_of(pair.newcomer), people.name_of(pair.mentor), *review, {}});
        out.back().sentence = review_in_words(out.back());
    }
    return out;
}

Result<Done> hand_over(Context& context, std::string_view newcomer_name, std::string_view next_name,
                       const std::string& thanks) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PairState state, pair_state(context, club.id));
    TRY(const PersonView newcomer, find_person(context, club.id, newcomer_name));
    TRY(const PairingView pair, pair_to_hand_over(context, state, club.id, newcomer));
    TRY(const PersonView next, find_mentor(context, club.id, next_name));
    TRY(may_be_next(state, pair, newcomer, next));
    if (thanks.size() > limits::line_bytes_max) {
        return Error{Fault::bad_input, "A word of thanks is one line of at most 256 characters; nothing was changed."};
    }
    ClubNewcomer gate;
    gate.person = newcomer;
    gate.is_minor = newcomer.is_minor;
    TRY(adults_on_path(context, gate));
    const Day today = context.today();
    PairingReviewBody body{newcomer.id, pair.mentor, PairingWord::handed_over, 0, today, next.id, thanks};
    // The proposal first: it counts because the newcomer is with this mentor still.
    TRY(const EventId id, say_together(context, club.id,
                                       {step(newcomer.id, next.id, PairingStep::proposed, today), word(std::move(body)),
                                        step(newcomer.id, pair.mentor, PairingStep::ended, today)}));
    return Done{"Handed over, with thanks: " + newcomer.name + " and " + next.name +
                    " are asked whether they suit each other, and " + newcomer.name + " says yes or rather not.",
                id};
}

Result<Done> mentor_out_of_reach(Context& context, std::string_view mentor_name) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const PairState state, pair_state(context, people.club.id));
    TRY(const PersonView mentor, find_mentor(context, people.club.id, mentor_name));
    if (mentor.id == people.me.id) return Error{Fault::bad_input, "That is you; rest on your card instead."};
    if (state.out_of_reach(mentor.id)) {
        return Error{Fault::refused, "That " + mentor.name + " cannot be reached is known already."};
    }
    const Day today = context.today();
    std::vector<ToSay> words;
    std::vector<std::string> left;
    for (const PairingView& pair : state.pairs) {
        if (pair.mentor != mentor.id) continue;
        const bool is_open = pair.step == PairingStep::proposed || pair.step == PairingStep::agreed;
        if (is_open) words.push_back(step(pair.newcomer, mentor.id, PairingStep::ended, today));
        if (pair.step != PairingStep::agreed) continue;
        words.push_back(word({pair.newcomer, mentor.id, PairingWord::out_of_reach, 0, today, {}, {}}));
        left.push_back(people.name_of(pair.newcomer));
    }
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.mentor != mentor.id || state.standing_of(newcomer.person.id) != nullptr) continue;
        // Known from their row alone, so that it is said that they were together and that it is over.
        words.push_back(step(newcomer.person.id, mentor.id, PairingStep::agreed, today));
        words.push_back(step(newcomer.person.id, mentor.id, PairingStep::ended, today));
        words.push_back(word({newcomer.person.id, mentor.id, PairingWord::out_of_reach, 0, today, {}, {}}));
        left.push_back(newcomer.person.name);
    }
    // With nobody to part from, the word names the mentor twice.
    if (left.empty()) words.push_back(word({mentor.id, mentor.id, PairingWord::out_of_reach, 0, today, {}, {}}));
    TRY(const EventId id, say_together(context, people.club.id, std::move(words)));
    std::string sentence = mentor.name + " is proposed to nobody until they change their card.";
    if (!left.empty()) {
        sentence = listed(left) + (left.size() == 1 ? " comes" : " come") +
                   " first in the next proposal, with the time they waited kept. " + sentence;
    }
    return Done{sentence, id};
}

}  // namespace ladderline::node
