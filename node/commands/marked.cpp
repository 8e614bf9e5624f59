// Mock papers that were marked, and what they say about the figures of readiness.

#include <algorithm>
#include <charconv>
#include <cmath>

#include "node/commands/mock.hpp"
#include "node/commands/study_pools.hpp"
#include "node/read_models/desk_views.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

int element_of(const std::string& pool) {
    int out = 0;
    std::from_chars(pool.data(), pool.data() + pool.size(), out);
    return out;
}

bool is_fresh(const std::string& number) {
    const auto read = domain::read_paper_number(number);
    return read && read.value().draw.mode == domain::MockMode::fresh;
}

MarkedPaper marked_of(const MockView& one) {
    MarkedPaper out;
    out.number = one.paper;
    out.element = element_of(one.pool);
    out.fresh = is_fresh(one.paper);
    out.at = one.at;
    out.minutes = one.minutes;
    out.points = static_cast<int>(one.right);
    out.of = static_cast<int>(one.of);
    out.mark = static_cast<int>(one.mark);
    out.passed = out.points >= out.mark;
    out.forecast = {one.foretold.pass_ppm / 1e6,
                    one.foretold.points_hundredths / 100.0,
                    one.foretold.points_low,
                    one.foretold.points_high,
                    out.points,
                    out.passed};
    return out;
}

MarkedQuestion marked_question(const std::optional<StudyPool>& study, const MockAnswer& answer) {
    MarkedQuestion out;
    out.question = answer.question;
    out.is_right = answer.answer == Answer::right;
    if (answer.answer != Answer::dont_know) out.place = answer.place;
    constexpr std::size_t group_letters = 3;
    out.group = answer.question.substr(0, group_letters);
    const auto index = study ? study->pool.find(answer.question) : std::nullopt;
    const auto order = parse_order(answer.shown);
    if (!index || !order) return out;
    const domain::PoolQuestion& question = study->pool.questions[static_cast<std::size_t>(*index)];
    const ChoiceOrder& places = order.value();
    out.stem = question.stem;
    out.right = question.choices[static_cast<std::size_t>(question.key)];
    out.right_place = static_cast<std::uint8_t>(std::find(places.begin(), places.end(), question.key) - places.begin());
    if (out.place && *out.place < places.size()) out.given = question.choices[places[*out.place]];
    return out;
}

std::string one_decimal(double value) {
    const long tenths = std::lround(value * 10);
    return std::to_string(tenths / 10) + "." + std::to_string(tenths % 10);
}

std::string counted(std::size_t n, const std::string& what) {
    return std::to_string(n) + " " + what + (n == 1 ? "" : "s");
}

std::vector<std::string> words_of(const domain::Calibration& c) {
    std::vector<std::string> out;
    const auto papers = static_cast<std::size_t>(c.papers);
    out.push_back("Of " + counted(papers, "paper") + " " + std::to_string(c.in_band) +
                  " fell in the band that nine of ten are to fall in, " + std::to_string(c.below) + " below it and " +
                  std::to_string(c.above) + " above.");
    out.push_back("You passed " + std::to_string(c.passed) + "; " + one_decimal(c.passes_expected) +
                  " were to be expected. You had " + one_decimal(c.points_mean) + " points on average, where " +
                  one_decimal(c.points_expected_mean) + " were to be expected.");
    if (!c.is_telling()) {
        out.push_back("That is too few papers to tell whether the figures are right for you; " +
                      std::to_string(domain::calibration_papers_min) + " are the least.");
        return out;
    }
    const bool band_doubted = c.band_chance < domain::calibration_doubt;
    const bool too_high = c.few_passes_chance < domain::calibration_doubt / 2;
    const bool too_low = c.many_passes_chance < domain::calibration_doubt / 2;
    if (band_doubted) {
        out.push_back(
            "More papers fell outside than bad luck explains: take the figures for rougher than they say, and "
            "as promising too " +
            std::string(c.below >= c.above ? "much." : "little."));
    }
    if (too_high)
        out.push_back("You passed fewer papers than bad luck explains: the chance to pass is shown too high.");
    if (too_low) out.push_back("You passed more papers than luck explains: the chance to pass is shown too low.");
    if (!band_doubted && !too_high && !too_low) {
        out.push_back("That is what luck alone brings; nothing here speaks against the figures.");
    }
    return out;
}

}  // namespace

std::vector<std::string> MarkedPaper::missed_groups() const {
    std::vector<std::string> out;
    for (const MarkedQuestion& question : questions) {
        if (!question.is_right) out.push_back(question.group);
    }
    return out;
}

Result<std::vector<MarkedPaper>> marked_papers(Context& context) {
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const auto all, mock_papers(context.db, desk.id));
    std::vector<MarkedPaper> out;
    for (const MockView& one : all) out.push_back(marked_of(one));
    std::reverse(out.begin(), out.end());
    return out;
}

Result<MarkedPaper> marked_paper(Context& context, std::string_view number) {
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const auto all, mock_papers(context.db, desk.id));
    for (const MockView& one : all) {
        if (one.paper != number) continue;
        MarkedPaper out = marked_of(one);
        std::optional<StudyPool> study;
        TRY(auto editions, editions_of(context, out.element));
        for (StudyPool& edition : editions) {
            if (edition.name() != one.pool) continue;
            out.from = edition.choice();
            study = std::move(edition);
        }
        TRY(const auto answers, mock_answers(context.db, one.id));
        for (const MockAnswer& answer : answers) out.questions.push_back(marked_question(study, answer));
        return out;
    }
    return Error{Fault::not_found, "No paper with this number was marked here."};
}

std::vector<std::string> result_lines(const MarkedPaper& paper) {
    std::vector<std::string> out;
    out.push_back(std::string(paper.passed ? "Passed: " : "Not passed: ") + std::to_string(paper.points) + " of " +
                  std::to_string(paper.of) + " right, and " + std::to_string(paper.mark) + " pass.");
    const domain::PaperForecast& f = paper.forecast;
    out.push_back("Beforehand " + one_decimal(f.points_expected) + " right answers were to be expected, " +
                  std::to_string(f.points_low) + " to " + std::to_string(f.points_high) + " in nine papers of ten" +
                  (paper.fresh ? " drawn at random; this one preferred what you had not seen lately." : "."));
    if (paper.minutes) out.push_back("It took " + counted(static_cast<std::size_t>(*paper.minutes), "minute") + ".");
    const auto missed = paper.missed_groups();
    std::string groups;
    for (const std::string& group : missed) groups += (groups.empty() ? "" : ", ") + group;
    if (!groups.empty()) out.push_back("Missed groups: " + groups + ".");
    return out;
}

Result<CalibrationView> calibration(Context& context, const PoolChoice& choice) {
    TRY(const StudyPool study, chosen_pool(context, choice));
    TRY(const auto all, marked_papers(context));
    CalibrationView out;
    std::vector<domain::PaperForecast> forecasts;
    for (const MarkedPaper& paper : all) {
        if (paper.element != study.pool.element) continue;
        if (paper.fresh) {
            out.fresh_papers += 1;
            continue;
        }
        out.papers.push_back(paper);
        forecasts.push_back(paper.forecast);
    }
    out.figures = domain::calibrate(forecasts);
    if (forecasts.empty()) {
        out.sentences.emplace_back(
            "No mock paper that was drawn at random has been marked yet, so nothing can be said about the figures.");
    } else {
        out.sentences = words_of(out.figures);
    }
    if (out.fresh_papers > 0) {
        out.sentences.push_back(counted(out.fresh_papers, "fresh paper") +
                                " left out: they prefer what you have not seen lately, and the figures speak of papers "
                                "drawn at random.");
    }
    out.sentences.emplace_back("All of this stays on your desk.");
    return out;
}

}  // namespace ladderline::node
