#include "node/commands/mock.hpp"

#include <algorithm>
#include <cmath>

#include "node/commands/class_view.hpp"
#include "node/commands/study_pools.hpp"
#include "node/domain/study/readiness.hpp"
#include "node/read_models/desk_views.hpp"
#include "protocol/event/kinds.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::MockMode;
using domain::MockPaper;
using domain::PoolQuestion;

constexpr std::size_t drawn_max = 20;
constexpr std::int64_t minute_ms = 60'000;
constexpr std::int64_t minutes_max = 1440;  // nobody writes a paper for longer than a day

struct KeptShowing {
    std::string question;
    std::string order;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::call_bytes_max>(question), codec::bounded<limits::call_bytes_max>(order));
    }
};
struct KeptPaper {
    std::string number;
    std::vector<KeptShowing> showings;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::call_bytes_max>(number), codec::bounded<limits::items_max>(showings));
    }
};

std::string drawn_setting(const StudyPool& study) {
    return "mock_drawn:" + study.name();
}

Result<std::vector<KeptPaper>> kept_papers(Context& context, const StudyPool& study) {
    TRY(const auto stored, store::get_setting(context.db, drawn_setting(study)));
    if (!stored) return std::vector<KeptPaper>();
    return codec::decode<std::vector<KeptPaper>>(*stored);
}

Result<void> keep(Context& context, const StudyPool& study, const std::string& number, const MockPaper& paper) {
    TRY(auto all, kept_papers(context, study));
    KeptPaper one{number, {}};
    for (const domain::QuestionShowing& showing : paper.showings) {
        one.showings.push_back({showing.question, to_digits(showing.order)});
    }
    all.push_back(std::move(one));
    if (all.size() > drawn_max) all.erase(all.begin());
    return store::put_setting(context.db, drawn_setting(study), codec::encode(all));
}

Result<std::vector<std::string>> seen_before(Context& context, const StudyPool& study, std::int64_t minute) {
    TRY(const auto records, study_records(context, study));
    const double until = in_days(WallTime{minute * minute_ms});
    std::vector<std::string> out;
    for (const domain::StudyAnswer& record : records) {
        if (record.outcome == domain::Outcome::corrected || record.day >= until) continue;
        out.push_back(study.pool.questions[static_cast<std::size_t>(record.question)].id);
    }
    return out;
}

MockSheet sheet_of(const StudyPool& study, const domain::MockDraw& draw, const MockPaper& paper, std::string number) {
    MockSheet out;
    out.number = std::move(number);
    out.element = study.pool.element;
    out.pool = study.pool.title;
    out.edition = study.pool.edition;
    out.fresh = draw.mode == MockMode::fresh;
    out.drawn = utc_day(WallTime{draw.minute * minute_ms});
    out.mark = study.syllabus.mark;
    for (const domain::QuestionShowing& showing : paper.showings) {
        const auto index = static_cast<std::size_t>(*study.pool.find(showing.question));
        out.questions.push_back(shown_as(study, study.pool.questions[index], showing.order));
        out.right_places.push_back(showing.right_place);
    }
    return out;
}

// A paper that was drawn here, as the pool reads now; nothing if it was not, or if a question of it is gone.
Result<std::optional<MockPaper>> kept_paper(Context& context, const StudyPool& study, std::string_view number) {
    TRY(const auto all, kept_papers(context, study));
    for (const KeptPaper& one : all) {
        if (one.number != number) continue;
        MockPaper out;
        for (const KeptShowing& showing : one.showings) {
            const auto index = study.pool.find(showing.question);
            TRY(const ChoiceOrder order, parse_order(showing.order));
            if (!index) return std::optional<MockPaper>();
            const int key = study.pool.questions[static_cast<std::size_t>(*index)].key;
            const auto right = std::find(order.begin(), order.end(), key) - order.begin();
            out.showings.push_back({showing.question, order, static_cast<std::uint8_t>(right)});
        }
        return std::optional(std::move(out));
    }
    return std::optional<MockPaper>();
}

// The number as it is printed.
std::string written(std::string_view typed) {
    const auto raw = from_base32(typed);
    if (!raw) return std::string(typed);
    const std::string digits = to_base32(raw.value());
    std::string out;
    for (std::size_t i = 0; i < digits.size(); ++i) out += (i > 0 && i % 4 == 0 ? "-" : "") + digits.substr(i, 1);
    return out;
}

struct FoundPaper {
    StudyPool study;
    domain::MockDraw draw;
    MockPaper paper;
    std::string number;
};

Result<FoundPaper> find_paper(Context& context, std::string_view typed) {
    TRY(const domain::ReadNumber number, domain::read_paper_number(typed));
    TRY(auto editions, editions_of(context, number.draw.element));
    if (editions.empty()) {
        TRY(chosen_pool(context, {number.draw.element}));  // says what is missing
    }
    const std::string text = written(typed);
    for (StudyPool& study : editions) {
        TRY(auto kept, kept_paper(context, study, text));
        if (kept) return FoundPaper{std::move(study), number.draw, std::move(*kept), text};
    }
    for (StudyPool& study : editions) {
        TRY(const auto seen, seen_before(context, study, number.draw.minute));
        MockPaper paper = domain::draw_numbered(study.pool, number.draw, seen);
        if (domain::is_number_of(number, study.pool, paper)) {
            return FoundPaper{std::move(study), number.draw, std::move(paper), text};
        }
    }
    return Error{Fault::not_found,
                 "No paper with the number " + text +
                     " can be made: look for a slip in it, or the pool or the record here is another one than when it "
                     "was drawn; nothing was stored."};
}

Foretold foretold_now(const StudyPool& study, const std::vector<domain::StudyAnswer>& records, double now) {
    const auto memory = domain::StudyMemory::replay(domain::shape_of(study.pool), records);
    const domain::Readiness state = domain::readiness(memory, study.syllabus.mark, now);
    return {static_cast<std::uint32_t>(std::lround(state.pass_chance * 1e6)),
            static_cast<std::uint32_t>(std::lround(state.points_expected * 100)),
            static_cast<std::uint16_t>(state.points_low), static_cast<std::uint16_t>(state.points_high)};
}

}  // namespace

Result<MockSheet> draw_mock_paper(Context& context, const PoolChoice& choice, MockMode mode) {
    TRY(own_circle(context, CircleKind::desk));
    TRY(const StudyPool study, chosen_pool(context, choice));
    auto generator = domain::seeded_from(context.env.random);
    domain::MockDraw draw{mode, study.pool.element, 0, 0};
    draw.minute = std::clamp(context.now().ms / minute_ms, domain::mock_minute_min, domain::mock_minute_max);
    draw.salt = static_cast<std::uint32_t>(generator.next());
    TRY(const auto seen, seen_before(context, study, draw.minute));
    const MockPaper paper = domain::draw_numbered(study.pool, draw, seen);
    const std::string number = domain::paper_number(study.pool, draw, paper);
    TRY(keep(context, study, number, paper));
    return sheet_of(study, draw, paper, number);
}

Result<MockSheet> mock_paper(Context& context, std::string_view number) {
    TRY(const FoundPaper found, find_paper(context, number));
    return sheet_of(found.study, found.draw, found.paper, found.number);
}

Result<std::string> mark_mock_paper(Context& context, const MarkRequest& request) {
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const FoundPaper found, find_paper(context, request.number));
    TRY(const domain::MockPlaces places, domain::read_answers(request.answers, found.paper.showings.size()));
    if (request.minutes && (*request.minutes < 0 || *request.minutes > minutes_max)) {
        return Error{Fault::bad_input,
                     "Say the time in whole minutes, 0 to 1440, or leave it out; nothing was stored."};
    }
    TRY(const auto before, mock_papers(context.db, desk.id));
    for (const MockView& one : before) {
        if (one.paper != found.number) continue;
        return Error{Fault::refused, "Paper " + found.number + " was marked on " + to_iso(utc_day(one.at)) + ": " +
                                         std::to_string(one.right) + " of " + std::to_string(one.of) +
                                         "; a paper counts once, and nothing was stored."};
    }
    TRY(const auto records, study_records(context, found.study));
    MockResultBody body;
    body.pool = found.study.name();
    body.paper = found.number;
    body.when = context.now();
    if (request.minutes) body.minutes = static_cast<std::uint16_t>(*request.minutes);
    body.mark = static_cast<std::uint16_t>(found.study.syllabus.mark);
    body.foretold = foretold_now(found.study, records, in_days(context.now()));
    for (std::size_t i = 0; i < places.size(); ++i) {
        const domain::QuestionShowing& showing = found.paper.showings[i];
        MockAnswer one{showing.question, Answer::dont_know, to_digits(showing.order), places[i].value_or(0)};
        if (places[i]) one.answer = *places[i] == showing.right_place ? Answer::right : Answer::wrong;
        body.answers.push_back(std::move(one));
    }
    TRY(say(context, desk.id, kind::mock_result, codec::encode(body)));
    TRY(remember_pool(context, found.study.pool.element));
    TRY(renew_study_share(context));
    return found.number;
}

}  // namespace ladderline::node
