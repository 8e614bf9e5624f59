#include "node/commands/study.hpp"

#include <algorithm>
#include <cmath>

#include "node/commands/class_view.hpp"
#include "node/commands/day_in_words.hpp"
#include "node/commands/study_pools.hpp"
#include "node/commands/way.hpp"
#include "node/domain/study/choice_order.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::PoolQuestion;
using domain::PracticeReason;
using domain::StudyAnswer;

Result<const PoolQuestion*> find_question(const StudyPool& study, std::string_view id) {
    const auto index = study.pool.find(id);
    if (index) return &study.pool.questions[static_cast<std::size_t>(*index)];
    const std::string named = "Question " + std::string(id);
    if (study.pool.is_withdrawn(id))
        return Error{Fault::not_found, named + " was withdrawn from the pool; take the next one."};
    return Error{Fault::not_found, named + " is not in the pool of element " + std::to_string(study.pool.element) +
                                       "; take the next one."};
}

std::string why(PracticeReason reason) {
    switch (reason) {
        case PracticeReason::not_seen:
            return "You have not seen it yet.";
        case PracticeReason::fading:
            return "It may be fading by now.";
        case PracticeReason::steady:
            return "It is the one you have not seen for longest.";
        case PracticeReason::last_day:
            return "It adds most for the examination.";
    }
    return {};
}

// The first date written as YYYY-MM-DD in a text.
}  // namespace

std::optional<Day> booked_exam(Context& context) {
    const auto own = way(context, "");
    if (!own) return std::nullopt;
    const auto& booked = own.value().dates.exam_booked;
    if (booked && *booked >= context.today()) return booked;
    const domain::ItemState& state = domain::state_of(own.value().states, domain::known_item::session_chosen);
    if (!state.tick) return std::nullopt;
    const auto day = day_in(state.tick->text);
    return day && *day >= context.today() ? day : std::nullopt;
}

Result<ShownQuestion> next_question(Context& context, const PoolChoice& choice) {
    TRY(const StudyPool study, chosen_pool(context, choice));
    TRY(const auto records, study_records(context, study));
    const auto memory = domain::StudyMemory::replay(domain::shape_of(study.pool), records);
    domain::PracticeRequest request{study.syllabus.mark, in_days(context.now()), std::nullopt, 1, {}};
    if (const auto exam = booked_exam(context)) request.exam_day = exam_moment(*exam, context.now());
    for (const StudyAnswer& record : records) {
        if (std::floor(record.day) == std::floor(request.now)) request.shown_today.push_back(record.question);
    }
    auto items = domain::practice_order(memory, request);
    if (items.empty()) items = domain::practice_cycle(memory, request.mark, request.now, request.now + 1, 1);
    const auto& question = study.pool.questions[static_cast<std::size_t>(items.front().question)];
    auto generator = domain::seeded_from(context.env.random);
    ShownQuestion out = shown_as(study, question, domain::draw_showing(question, generator).order);
    out.reason = items.front().reason;
    out.why = why(out.reason);
    return out;
}

Result<ShownQuestion> question_again(Context& context, const PoolChoice& choice, std::string_view id,
                                     std::string_view digits) {
    TRY(const StudyPool study, chosen_pool(context, choice));
    TRY(const PoolQuestion* question, find_question(study, id));
    TRY(const ChoiceOrder order, parse_order(digits));
    return shown_as(study, *question, order);
}

Result<Answered> answer(Context& context, const AnswerRequest& request) {
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const StudyPool study, chosen_pool(context, request.pool));
    TRY(const PoolQuestion* question, find_question(study, request.question));
    TRY(const ChoiceOrder order, parse_order(request.order));
    if (request.place && *request.place >= order.size()) {
        return Error{Fault::bad_input, "There are four choices; nothing was written down."};
    }
    Answered out;
    const auto right = std::find(order.begin(), order.end(), question->key);
    out.right_place = static_cast<std::uint8_t>(right - order.begin());
    out.right = request.place == out.right_place;
    out.right_text = question->choices[static_cast<std::size_t>(question->key)];
    out.citation = question->citation;
    PracticeAnswerBody body{study.name(), question->id, Answer::dont_know, to_digits(order), 0, context.now()};
    if (request.place) {
        body.answer = out.right ? Answer::right : Answer::wrong;
        body.place = *request.place;
    }
    TRY(out.id, say(context, desk.id, kind::practice_answer, codec::encode(body)));
    TRY(remember_pool(context, study.pool.element));
    TRY(renew_study_share(context));
    TRY(const auto records, study_records(context, study));
    for (const StudyAnswer& record : records) {
        if (record.outcome == domain::Outcome::corrected || std::floor(record.day) != context.today().number) continue;
        out.answered_today += 1;
        if (record.outcome == domain::Outcome::right) out.right_today += 1;
    }
    return out;
}

}  // namespace ladderline::node
