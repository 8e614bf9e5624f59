// How ready the owner of this node is for an examination.

#include <algorithm>
#include <cmath>

#include "node/commands/study_pools.hpp"
#include "node/domain/study/projection.hpp"
#include "node/domain/study/readiness.hpp"

namespace ladderline::node {
namespace {

using domain::StudyAnswer;
using domain::StudyMemory;

constexpr std::size_t to_win_max = 5;
constexpr std::size_t telling_answers_min = 20;
constexpr int telling_days_min = 3;
constexpr double minutes_a_question = 0.5;  // no answering times are kept

std::string counted(std::size_t n, const std::string& what) {
    return std::to_string(n) + " " + what + (n == 1 ? "" : "s");
}

std::vector<GroupToWin> groups_to_win(const StudyPool& study, const StudyMemory& memory, const domain::Readiness& state,
                                      double now) {
    // Toward a far day one look gains nothing by itself, since it fades until then; tomorrow tells groups apart.
    const std::vector<double> gains = domain::showing_gains(memory, study.syllabus.mark, now, now + 1);
    const std::vector<double> minutes(gains.size(), minutes_a_question);
    std::vector<GroupToWin> out;
    for (const domain::GroupGain& gain : domain::group_gains(memory, gains, minutes)) {
        if (out.size() == to_win_max || gain.gain_per_minute <= 0) break;
        const auto group = static_cast<std::size_t>(gain.group);
        out.push_back({study.pool.groups[group].id, study.pool.groups[group].title,
                       gain.gain_per_minute * minutes_a_question, state.group_means[group]});
    }
    return out;
}

Error stopped() {
    return {Fault::cancelled, "Stopped; nothing was changed."};
}

// When the chance reaches the target at the present pace, in days and in words.
Result<void> fill_projection(Readiness& out, const StudyMemory& memory, domain::ProjectionPlan plan,
                             const domain::LookAhead& goes_on) {
    const std::string target = std::to_string(std::lround(plan.target * 100)) + " %";
    if (!out.pace) {
        out.ready_note = "A date needs at least three days of practice; there are not that many yet.";
        return ok();
    }
    if (*out.pace <= 0) {
        out.ready_note = "There was no practice in the last two weeks, so there is no pace to reckon with.";
        return ok();
    }
    plan.pace = std::min<double>(*out.pace, domain::pace_max);
    const domain::Projection ahead = domain::project(memory, plan, goes_on);
    if (ahead.stopped) return stopped();
    const auto days = ahead.days_to_target;
    if (!days) {
        out.ready_note = "At the present pace the chance to pass does not reach " + target + " within a year.";
        return ok();
    }
    out.ready_on = utc_day({static_cast<std::int64_t>(plan.now * 86'400'000.0)}) + *days;
    out.ready_note =
        "At the present pace the chance to pass reaches " + target + " about " + to_iso(*out.ready_on) + ".";
    return ok();
}

std::string no_pace(double days_left) {
    if (days_left < 2) return "The exam is too near for a pace of practice to change much.";
    return "No pace reaches 90 % by the exam; a later session would leave room to practise.";
}

std::string caution_of(const Readiness& state, const StudyPool& study) {
    std::vector<std::string> all;
    if (study.syllabus.element == 0) {
        all.push_back("These are practice items; passing here is no sign of readiness for an examination.");
    }
    if (state.answered < telling_answers_min || state.history_days < telling_days_min) {
        all.push_back("With " + counted(state.answered, "answer") + " over " +
                      counted(static_cast<std::size_t>(state.history_days), "day") +
                      " these figures say little yet; twenty answers over three days are the least.");
    }
    all.push_back(out_of_force(study.pool, state.on));
    std::string out;
    for (const std::string& sentence : all) {
        if (!sentence.empty()) out += (out.empty() ? "" : " ") + sentence;
    }
    return out;
}

void fill_history(Readiness& out, const StudyPool& study, const StudyMemory& memory,
                  const std::vector<StudyAnswer>& records, double now) {
    std::optional<double> first;
    for (const StudyAnswer& record : records) {
        if (record.outcome == domain::Outcome::corrected) continue;
        out.answered += 1;
        if (!first) first = record.day;
    }
    if (first) out.history_days = std::max(0, static_cast<int>(std::floor(now - *first)));
    out.questions = study.pool.questions.size();
    for (int question = 0; question < memory.shape().question_count(); ++question) {
        if (memory.seen(question)) out.seen += 1;
    }
}

}  // namespace

double exam_moment(Day exam, WallTime now) {
    constexpr double noon = 0.5;
    return std::max(exam.number + noon, in_days(now));
}

Result<Readiness> ready(Context& context, const PoolChoice& choice, std::optional<Day> exam_day) {
    TRY(const StudyPool study, chosen_pool(context, choice));
    TRY(const auto records, study_records(context, study));
    if (exam_day && *exam_day < context.today()) {
        return Error{Fault::bad_input, to_iso(*exam_day) + " is past; say the day of the examination to come."};
    }
    const double now = in_days(context.now());
    const auto memory = StudyMemory::replay(domain::shape_of(study.pool), records);
    Readiness out;
    out.from = study.choice();
    out.pool = study.pool.title;
    out.drawn = study.syllabus.questions;
    out.mark = study.syllabus.mark;
    out.exam_day = exam_day ? exam_day : booked_exam(context);
    out.on = out.exam_day.value_or(context.today());
    const double exam = out.exam_day ? exam_moment(*out.exam_day, context.now()) : now;
    fill_history(out, study, memory, records, now);
    const domain::Readiness state = domain::readiness(memory, out.mark, exam);
    out.pass_chance = state.pass_chance;
    out.points_low = state.points_low;
    out.points_high = state.points_high;
    out.points_expected = state.points_expected;
    out.to_win = groups_to_win(study, memory, state, now);
    out.pace = domain::study_pace(records, now);
    const domain::ProjectionPlan plan{.mark = out.mark, .now = now};
    bool went_on = true;
    const domain::LookAhead goes_on = [&](int done, int of) {
        went_on = store::goes_on(context.going_on, static_cast<std::uint64_t>(done), static_cast<std::uint64_t>(of));
        return went_on;
    };
    TRY(fill_projection(out, memory, plan, goes_on));
    if (out.exam_day) out.pace_needed = domain::least_pace(memory, plan, exam, goes_on);
    if (!went_on) return stopped();
    if (out.exam_day && !out.pace_needed) out.pace_note = no_pace(exam - now);
    out.caution = caution_of(out, study);
    return out;
}

}  // namespace ladderline::node
