#pragma once
// The question pools of this store, for the study commands alone. A pool's text stands in setting "pool:<element>", the
// questions that a later text changed in "pool_corrections:<element>".

#include "node/commands/study.hpp"
#include "node/domain/study/memory.hpp"
#include "node/domain/study/pool.hpp"
#include "node/domain/study/syllabus.hpp"

namespace ladderline::node {

struct StudyPool {
    domain::Pool pool;
    domain::Syllabus syllabus;

    std::string name() const { return std::to_string(pool.element); }  // in practice answers
};
// [place] = which choice of the pool stands there; as digits "2013".
using ChoiceOrder = std::array<std::uint8_t, domain::pool_choices>;
std::string to_digits(const ChoiceOrder& order);
Result<ChoiceOrder> parse_order(std::string_view digits);
// As it is put, without a reason why it comes now.
ShownQuestion shown_as(const StudyPool& study, const domain::PoolQuestion& question, const ChoiceOrder& order);

Result<StudyPool> chosen_pool(Context& context, const PoolChoice& choice);
// The pool that an empty choice means from now on.
Result<void> remember_pool(Context& context, int element);

// Every answer to questions of the pool and every correction of them, by time; answers to questions that are in it no
// more are left out.
Result<std::vector<domain::StudyAnswer>> study_records(Context& context, const StudyPool& pool);

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
