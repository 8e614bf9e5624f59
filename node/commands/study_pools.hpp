#pragma once
// The question pools of this store, for the study commands alone. An element may have several editions, told apart by
// the first year of their span (0 where none is printed): the text of one stands in setting "pool:<element>:<year>",
// the questions that a later text of the same edition changed in "pool_corrections:<element>:<year>".

#include "node/commands/study.hpp"
#include "node/domain/licence/exam_steps.hpp"
#include "node/domain/study/memory.hpp"
#include "node/domain/study/pool.hpp"
#include "node/domain/study/syllabus.hpp"

namespace ladderline::node {

struct StudyPool {
    domain::Pool pool;
    domain::Syllabus syllabus;

    int edition() const { return pool.first_year.value_or(0); }
    PoolChoice choice() const { return {pool.element, edition()}; }
    // In practice answers and explanations: "2 2026-2030", or "2" where no years are printed. Errata inside one edition
    // leave it the same.
    std::string name() const;
};
// [place] = which choice of the pool stands there; as digits "2013".
using ChoiceOrder = std::array<std::uint8_t, domain::pool_choices>;
std::string to_digits(const ChoiceOrder& order);
Result<ChoiceOrder> parse_order(std::string_view digits);
// As it is put, without a reason why it comes now.
ShownQuestion shown_as(const StudyPool& study, const domain::PoolQuestion& question, const ChoiceOrder& order);

// Every edition of the element here, by first year.
Result<std::vector<StudyPool>> editions_of(Context& context, int element);
// Where the choice names no edition: the one that the booked examination draws from, else today's.
Result<StudyPool> chosen_pool(Context& context, const PoolChoice& choice);
// The element that an empty choice means from now on.
Result<void> remember_pool(Context& context, int element);
// bad_input where no examination has the element, or the groups are not those that it draws from.
Result<StudyPool> checked_pool(domain::Pool pool);
Result<void> keep_pool(Context& context, const StudyPool& study, std::string_view text);

// Questions of the edition, by id, that a later text of it changed, each with the moment from which on nothing counts
// that was known of it before.
struct Correction {
    std::string question;
    WallTime at;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(protocol::codec::bounded<protocol::limits::call_bytes_max>(question), at);
    }
};
Result<std::vector<Correction>> corrections_of(Context& context, const StudyPool& study);
Result<void> keep_corrections(Context& context, const StudyPool& study, const std::vector<Correction>& all);

// Every answer to questions of the pool and every correction of them, by time. An answer to a question of another
// edition counts where this one has it word for word; answers to questions that are in it no more are left out.
Result<std::vector<domain::StudyAnswer>> study_records(Context& context, const StudyPool& pool);

// Of the edition that is practised here for the booked examination, where that names its element and the pool the day.
std::optional<Day> pool_last_day(Context& context, const domain::ExamFacts& booked);

// A sentence where the pool is not in force on that day; else empty.
std::string out_of_force(const domain::Pool& pool, Day day);

// The booked session, or the day written as evidence of it (item 02.04) on the own way, if it is still to come.
std::optional<Day> booked_exam(Context& context);
// The middle of that UTC day, but not before now.
double exam_moment(Day exam, WallTime now);

// Time as the study calculations count it: days since 1970-01-01T00:00Z.
inline double in_days(WallTime t) {
    return static_cast<double>(t.ms) / 86'400'000.0;
}

}  // namespace ladderline::node
