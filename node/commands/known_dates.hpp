#pragma once
// What somebody said of their own exams and licence: booked sessions, passed elements, the licence held. On the path if
// there is one, on the desk else; papers that did not pass are on the desk alone.

#include "node/commands/context.hpp"
#include "node/domain/ladder/record.hpp"
#include "node/domain/licence/exam_steps.hpp"

namespace ladderline::node {

struct KnownLicence {
    std::string code;  // class as the register shows it
    std::optional<Day> granted;
    std::optional<Day> expires;  // if it was said
};

struct SaidDates {
    std::optional<Day> booked;   // none, too, where its paper was passed at another session since
    std::string booked_element;  // may be empty
    std::string booked_place;
    std::vector<domain::PassedElement> passed;  // by day; none confirmed yet
    std::vector<KnownLicence> licences;         // in the order of being said; the last one stands
};
// Of one circle, by one person. Texts of events: "ELEMENT PLACE" of a booking, "ELEMENT" of a pass, and of a licence
// "CLASS", or "CLASS until YYYY-MM-DD".
Result<SaidDates> said_dates(Context& context, const protocol::CircleId& circle, const protocol::MemberId& by);
// Papers that did not pass, oldest first, of the own desk.
Result<std::vector<domain::ExamTry>> said_tries(Context& context);

// The dates of `facts` from what was said and from the ladder: ticks of the way count where nothing was said of the
// same. Signatures on the items of passing confirm.
void merge_said(domain::ExamFacts& facts, const SaidDates& said, const domain::States& states,
                const domain::PersonId& owner);

// The day that a ticked item speaks of, or of its signature where nobody ticked it; empty: neither stands.
std::optional<Day> ticked_on(const domain::States& states, domain::ItemId item);

// The item whose signature confirms a pass: the first licence, a further paper of that way in, or the upgrade.
domain::ItemId item_of_pass(const domain::RuleBook& book, std::string_view element, bool licensed);

// The rule book of this store's owner.
const domain::RuleBook& own_rule_book();

}  // namespace ladderline::node
