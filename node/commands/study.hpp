#pragma once
// Practice for an examination: question pools, one question at a time, and how ready its owner is. All of it stays on
// the desk: pools in this store's settings, answers in the desk circle.

#include <array>

#include "node/commands/context.hpp"
#include "node/domain/study/practice_order.hpp"

namespace ladderline::node {

// Which pool is meant: that of the element; empty: the one used last. Element 0 is the practice items that come with
// the program; they are what is used while no pool was imported. Of several editions the one that the booked
// examination draws from, else today's, unless `edition` names one by the first year of its span (0 where none is
// printed).
struct PoolChoice {
    std::optional<int> element = {};
    std::optional<int> edition = {};
};

struct PoolSummary {
    PoolChoice which;
    int element = 0;
    std::string title;
    std::string edition;
    std::size_t questions = 0;  // that can be drawn
    std::size_t groups = 0;
    std::size_t withdrawn = 0;
    std::optional<Day> valid_from;
    std::optional<Day> valid_until;
    // Of an import: questions whose right answer or text is another one now; what was known of them no longer counts.
    std::size_t corrected = 0;
    std::size_t carried_over = 0;  // questions that another edition here has word for word; answers count for both
    bool counts = false;           // of several editions: the one that is practised where none is named
    std::string caution;           // a sentence where the pool is not in force today; else empty
};
// Takes in the text of a published pool, whole or not at all. Answers given before stay; a text of the same edition
// takes the place of the one before, another edition stands beside it.
Result<PoolSummary> import_pool(Context& context, std::string_view text);
// Every pool that can be practised, by element and edition; the practice items too.
Result<std::vector<PoolSummary>> pools(Context& context);

// The same pool with element and edition named.
Result<PoolChoice> pool_meant(Context& context, const PoolChoice& choice);

// One question as it is put.
struct ShownQuestion {
    PoolChoice from;
    std::string pool;   // its title
    std::string id;     // "T1A01"
    std::string group;  // "T1A"
    std::string group_title;
    std::string stem;
    std::string figure;                                     // its name; empty if the question has none
    std::array<std::string, domain::pool_choices> choices;  // in the order shown
    std::string order;  // order[place] = place in the pool, as digits ("2013"); goes back with the answer
    domain::PracticeReason reason = domain::PracticeReason::not_seen;
    std::string why;  // the reason as a sentence
};
Result<ShownQuestion> next_question(Context& context, const PoolChoice& pool);
// A question by its id in the order in which it was shown, to show it again.
Result<ShownQuestion> question_again(Context& context, const PoolChoice& pool, std::string_view question,
                                     std::string_view order);

struct AnswerRequest {
    PoolChoice pool;
    std::string question;
    std::string order;                  // as it was shown
    std::optional<std::uint8_t> place;  // 0..3, as shown; empty: "I do not know"
};
struct Answered {
    bool right = false;
    std::uint8_t right_place = 0;
    std::string right_text;
    std::string citation;            // as the pool prints it; may be empty
    std::size_t answered_today = 0;  // this pool, this UTC day, with this answer
    std::size_t right_today = 0;
    protocol::EventId id;
};
Result<Answered> answer(Context& context, const AnswerRequest& request);

struct GroupToWin {
    std::string group;
    std::string title;
    double gain = 0;          // what one question of it, shown now, adds to the chance to pass tomorrow
    double chance_right = 0;  // now
};
struct Readiness {
    PoolChoice from;
    std::string pool;
    std::size_t answered = 0;  // answers ever given
    int history_days = 0;      // since the first of them
    std::size_t seen = 0;
    std::size_t questions = 0;
    int drawn = 0;  // questions in the examination
    int mark = 0;   // right answers that pass
    Day on;         // the day that the chances are for: the exam's, else today
    std::optional<Day> exam_day;
    double pass_chance = 0;  // 0 to 1, without further practice
    int points_low = 0;      // nine papers of ten lie between
    int points_high = 0;
    double points_expected = 0;
    std::vector<GroupToWin> to_win;  // at most five, largest gain first
    std::optional<double> pace;      // answers a day
    std::optional<Day> ready_on;     // the chance to pass reaches 0.9 at this pace
    std::string ready_note;          // that day as a sentence, or why there is none
    std::optional<int> pace_needed;  // answers a day, to reach 0.9 on the exam day
    std::string pace_note;           // why there is an exam day but no such pace; else empty
    std::string caution;             // why these figures say little yet, or a pool out of force; else empty
};
// `exam_day` empty: the day written as evidence of the booked session (item 02.04), if one can be read there.
// Takes up to seconds where the exam is far off: tells Context::going_on, and cancelled if that says so.
Result<Readiness> ready(Context& context, const PoolChoice& pool, std::optional<Day> exam_day);

}  // namespace ladderline::node
