#pragma once
// Where somebody is on their way, the one next step, and what they are waiting for. Nothing here ranks a person.

#include <optional>
#include <string>
#include <vector>

#include "node/domain/ladder/record.hpp"

namespace ladderline::domain {

// What the items do not say.
struct WayFacts {
    PersonId owner;
    bool under_18 = false;
    bool resting = false;  // the whole way rests: no next step is pressed
    std::optional<Day> exam_passed;
    std::optional<Day> fee_notice;
    std::optional<Day> fee_paid;
    std::optional<Day> asked_mentor;      // an unanswered question to the mentor
    std::optional<Day> asked_for_mentor;  // the same while no mentor is on the path
};

enum class Reason : std::uint8_t {
    minor_first,    // under 18: stands before everything else
    deadline,       // the fee notice came and the fee is unpaid: a last day is running
    assigned,       // the mentor asked for it
    reopened,       // was done, and has to be looked at again
    safety_first,   // must be done before the next transmission
    next_in_order,  // the next on the recommended order
};

struct NextStep {
    ItemId item;
    Reason reason = Reason::next_in_order;
    std::string why;  // a sentence
};

enum class Awaited : std::uint8_t { signature, second_adult, mentor_reply, mentor, fee_notice, grant };

// Something that another person or office must do.
struct Waiting {
    Awaited what = Awaited::signature;
    std::optional<ItemId> item;
    Day since;
    SignWord signer = SignWord::none;  // of a signature
    std::string sentence;
};

// Items of a stage that apply to the person. `ticked` counts those waiting for nobody and those waiting for a
// signature alike; the seven counts sum to `all`.
struct StageCount {
    std::uint8_t stage = 0;
    int all = 0;
    int open = 0;
    int ticked = 0;
    int is_signed = 0;
    int withdrawn = 0;
    int reopened = 0;
    int resting = 0;
    int skipped = 0;
};

struct Progress {
    // The first stage, in order, with an item that needs doing. Set-aside items and items that speak of a case
    // that may never come do not hold a stage. Empty: nothing is left to do.
    std::optional<std::uint8_t> current_stage;
    // The last stage with a milestone ticked or signed.
    std::optional<std::uint8_t> furthest_stage;
    std::optional<Day> last_milestone;  // the latest day of a milestone reached
    std::optional<NextStep> next;
    std::vector<Waiting> waiting;    // oldest first
    std::vector<StageCount> stages;  // one per stage of the edition, in order
};

// True if the item is on this person's way at all.
bool applies_to(const Item& item, bool under_18);

Progress progress(const Edition& edition, const States& states, const WayFacts& facts);

// A signed or ticked item that has to be looked at again: the day from which, by its recheck word; empty if it has
// no date of its own (each change, each site, ...) or was not reached.
std::optional<Day> recheck_day(const Item& item, const ItemState& state);

// Items whose recheck day is on or before `today`, in order.
std::vector<ItemId> rechecks_due(const Edition& edition, const States& states, Day today);

}  // namespace ladderline::domain
