#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/chance_words.hpp"
#include "node/commands/class_view.hpp"
#include "node/commands/explain.hpp"
#include "node/commands/figures.hpp"
#include "node/commands/mock.hpp"
#include "node/commands/named_files.hpp"
#include "node/commands/problems.hpp"
#include "node/commands/study.hpp"
#include "protocol/base/letters.hpp"

namespace ladderline::node::cli {
namespace {

Answer shown_answer(const ShownQuestion& q) {
    std::vector<std::string> text{q.id + "  " + q.group_title, q.stem};
    if (!q.figure.empty()) text.push_back("(see figure " + q.figure + ")");
    boost::json::array choices;
    for (std::size_t i = 0; i < q.choices.size(); ++i) {
        text.push_back("  " + std::string(1, static_cast<char>('A' + i)) + ". " + q.choices[i]);
        choices.push_back(boost::json::value(q.choices[i]));
    }
    text.push_back("Answer with: ladderline practise --question " + q.id + " --order " + q.order +
                   " --answer LETTER (or ?)");
    return {lines(text),
            {{"question", q.id},
             {"order", q.order},
             {"group", q.group_title},
             {"stem", q.stem},
             {"figure", q.figure},
             {"choices", std::move(choices)},
             {"why", q.why}}};
}

struct PractiseOptions {
    PoolChoice pool;
    std::string file;
    std::string figure;
    std::string image;
    bool pools = false;
    std::string question;
    std::string order;
    std::string answer;
    bool problems = false;
    std::string publish;  // name of the club
    bool unpublish = false;
};

// Nothing for "?". bad_input: one sentence.
Result<std::optional<std::uint8_t>> place_said(const std::string& answer) {
    const char letter = answer.empty() ? '?' : upper(answer[0]);
    if (answer.size() > 1 || (letter != '?' && (letter < 'A' || letter > 'D'))) {
        return Error{Fault::bad_input, "Answer with A, B, C or D, or ? if you do not know."};
    }
    if (letter == '?') return std::optional<std::uint8_t>();
    return std::optional(static_cast<std::uint8_t>(letter - 'A'));
}

Result<Answer> take_in_figure(Context& context, const PractiseOptions& o) {
    TRY(const std::string image, read_named_file(o.image));
    TRY(const std::string said, add_figure(context, o.pool, o.figure, as_bytes(image)));
    return Answer{said, {{"figure", o.figure}}};
}

Result<Answer> listed_pools(Context& context) {
    TRY(const auto all, pools(context));
    std::vector<std::string> text;
    boost::json::array json;
    for (const PoolSummary& pool : all) {
        std::string line = "Element " + std::to_string(pool.element) + "  " + pool.title;
        if (*pool.which.edition > 0) line += ", edition of " + std::to_string(*pool.which.edition);
        line += ": " + std::to_string(pool.questions) + " questions";
        if (pool.counts) line += "  [for your exam day]";
        text.push_back(line);
        if (!pool.caution.empty()) text.push_back("  " + pool.caution);
        TRY(const auto pictures, figures(context, pool.which));
        boost::json::array missing;
        for (const FigureLine& one : pictures) {
            text.push_back("  figure " + one.name + (one.is_here ? "" : ": its picture is not here"));
            if (!one.is_here) missing.push_back(boost::json::value(one.name));
        }
        json.push_back({{"element", pool.element},
                        {"edition", *pool.which.edition},
                        {"title", pool.title},
                        {"questions", pool.questions},
                        {"counts", pool.counts},
                        {"figures", pictures.size()},
                        {"figures_missing", std::move(missing)}});
    }
    return Answer{lines(text), std::move(json)};
}

Result<Answer> take_in_pool(Context& context, const std::string& path) {
    TRY(const std::string text, read_named_file(path));
    TRY(const PoolSummary pool, import_pool(context, text));
    std::string said = pool.title + ": " + std::to_string(pool.questions) + " questions in " +
                       std::to_string(pool.groups) + " groups, " + std::to_string(pool.withdrawn) + " withdrawn.";
    if (pool.valid_from && pool.valid_until) {
        said += " For exams from " + to_iso(*pool.valid_from) + " to " + to_iso(*pool.valid_until) + ".";
    }
    if (pool.carried_over > 0) {
        said += " " + std::to_string(pool.carried_over) + " read as in another edition here; answers count for both.";
    }
    if (!pool.caution.empty()) said += " " + pool.caution;
    return Answer{
        said,
        {{"title", pool.title}, {"questions", pool.questions}, {"groups", pool.groups}, {"withdrawn", pool.withdrawn}}};
}

Result<Answer> give_answer(Context& context, const PractiseOptions& o) {
    AnswerRequest request{o.pool, o.question, o.order, std::nullopt};
    TRY(request.place, place_said(o.answer));
    TRY(const Answered done, answer(context, request));
    std::string said = done.right ? "Right." : "Not this one. Right is ";
    if (!done.right) said += std::string(1, static_cast<char>('A' + done.right_place)) + ": " + done.right_text;
    if (!done.citation.empty()) said += " [" + done.citation + "]";
    TRY(const auto told, explanations(context, o.pool, o.question));
    boost::json::array explained;
    for (const Explanation& one : told) {
        said += "\n" + one.author + ": " + one.text;
        explained.push_back({{"author", one.author}, {"text", one.text}});
    }
    return Answer{said,
                  {{"right", done.right},
                   {"right_place", done.right_place},
                   {"right_text", done.right_text},
                   {"answered_today", done.answered_today},
                   {"explanations", std::move(explained)}}};
}

Answer shown_problem(const ShownProblem& shown) {
    const domain::Problem& p = shown.problem;
    std::vector<std::string> text{shown.number + "  " + std::string(domain::title_of(p.topic)), p.stem};
    boost::json::array choices;
    for (std::size_t i = 0; i < p.choices.size(); ++i) {
        text.push_back("  " + std::string(1, static_cast<char>('A' + i)) + ". " + p.choices[i].text);
        choices.push_back(boost::json::value(p.choices[i].text));
    }
    text.push_back("Answer with: ladderline practise --problems --question " + shown.number +
                   " --answer LETTER (or ?)");
    return {lines(text),
            {{"question", shown.number},
             {"order", "0123"},
             {"group", domain::title_of(p.topic)},
             {"stem", p.stem},
             {"figure", ""},
             {"choices", std::move(choices)}}};
}

Result<Answer> answer_problem(const PractiseOptions& o) {
    TRY(const ShownProblem shown, problem_again(o.question));
    TRY(const auto place, place_said(o.answer));
    const domain::Problem& p = shown.problem;
    const bool right = place == p.right_place;
    std::string said = right ? "Right." : "Not this one.";
    if (place && !right) said += " Whoever gets that " + p.choices[*place].slip + ".";
    if (!right) {
        said += " Right is " + std::string(1, static_cast<char>('A' + p.right_place)) + ": " +
                p.choices[p.right_place].text + ".";
    }
    said += "\n" + p.working;
    return Answer{said,
                  {{"right", right},
                   {"right_place", p.right_place},
                   {"right_text", p.choices[p.right_place].text},
                   {"working", p.working}}};
}

void add_practise(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("practise", "Practise for the exam, one question at a time");
    auto o = std::make_shared<PractiseOptions>();
    sub->add_option("--element", o->pool.element, "Which pool, by its exam element");
    sub->add_option("--edition", o->pool.edition, "Of several editions, the first year of the one that is meant");
    sub->add_flag("--pools", o->pools, "The pools here, their editions and their figures");
    sub->add_option("--figure", o->figure, "Keep a picture of this figure of the pool, with --image FILE");
    sub->add_option("--image", o->image, "PNG, JPEG, GIF or WebP")
        ->transform([folder = out.folder](const std::string& name) { return (folder / name).string(); });
    sub->add_option("--pool", o->file, "Take in a question pool in its published plain-text layout")
        ->transform([folder = out.folder](const std::string& name) { return (folder / name).string(); });
    sub->add_option("--question", o->question, "The question answered");
    sub->add_option("--order", o->order, "The order in which its choices were shown");
    sub->add_option("--answer", o->answer, "A, B, C, D, or ? for: I do not know");
    sub->add_flag("--problems", o->problems, "Problems to work out, with the working shown; they belong to no pool");
    sub->add_option("--publish", o->publish, "Show this club which groups you are weak in, until it is stopped");
    sub->add_flag("--unpublish", o->unpublish, "Show it no more");
    sub->callback([&out, o] {
        if (o->problems && (o->pool.element || !o->file.empty())) {
            throw CLI::ValidationError("Problems belong to no pool: say --problems without --element and --pool");
        }
        if (o->figure.empty() != o->image.empty()) {
            throw CLI::ValidationError("A picture wants both: --figure NAME --image FILE");
        }
        const bool shows = !o->publish.empty() || o->unpublish || o->pools || !o->figure.empty();
        out.practise_here = o->file.empty() && o->question.empty() && !shows;
        out.command = [o](Context& context) -> Result<Answer> {
            if (o->unpublish || !o->publish.empty()) {
                TRY(const Done done,
                    o->unpublish ? stop_publishing(context) : publish_study(context, {o->publish, o->pool.element}));
                return answer_of(done);
            }
            if (o->problems && !o->question.empty()) return answer_problem(*o);
            if (o->problems) return shown_problem(next_problem(context));
            if (!o->file.empty()) return take_in_pool(context, o->file);
            if (!o->figure.empty()) return take_in_figure(context, *o);
            if (o->pools) return listed_pools(context);
            if (!o->question.empty()) return give_answer(context, *o);
            TRY(const ShownQuestion question, next_question(context, o->pool));
            return shown_answer(question);
        };
    });
}

Answer ready_answer(const Readiness& r) {
    std::vector<std::string> text{
        r.pool,
        "Answers so far: " + std::to_string(r.answered) + "; questions seen: " + std::to_string(r.seen) + " of " +
            std::to_string(r.questions) + ".",
        "Chance to pass on " + to_iso(r.on) + " with no further practice: " + chance_words(r.pass_chance) + ".",
        "Likely points: " + std::to_string(r.points_low) + " to " + std::to_string(r.points_high) + " of " +
            std::to_string(r.drawn) + "; " + std::to_string(r.mark) + " pass."};
    boost::json::array to_win;
    if (!r.to_win.empty()) text.emplace_back("The most is to be won in:");
    for (const GroupToWin& g : r.to_win) {
        text.push_back("  " + g.group + "  " + g.title);
        to_win.push_back({{"group", g.group}, {"gain", g.gain}});
    }
    if (!r.ready_note.empty()) text.push_back(r.ready_note);
    if (r.pace_needed)
        text.push_back("Answers a day that reach 9 in 10 by the exam: " + std::to_string(*r.pace_needed) + ".");
    if (!r.pace_note.empty()) text.push_back(r.pace_note);
    if (!r.caution.empty()) text.push_back(r.caution);
    text.emplace_back("This is an estimate from your own answers; it stays on your desk.");
    return {lines(text),
            {{"pass_chance", r.pass_chance},
             {"points_low", r.points_low},
             {"points_high", r.points_high},
             {"mark", r.mark},
             {"seen", r.seen},
             {"questions", r.questions},
             {"to_win", std::move(to_win)},
             {"pace", r.pace ? boost::json::value(*r.pace) : boost::json::value()},
             {"ready_on", r.ready_on ? boost::json::value(to_iso(*r.ready_on)) : boost::json::value()},
             {"pace_needed", r.pace_needed ? boost::json::value(*r.pace_needed) : boost::json::value()}}};
}

Result<Answer> calibration_answer(Context& context, const PoolChoice& pool) {
    TRY(const CalibrationView view, calibration(context, pool));
    const domain::Calibration& c = view.figures;
    return Answer{lines(view.sentences),
                  {{"papers", c.papers},
                   {"in_band", c.in_band},
                   {"below", c.below},
                   {"above", c.above},
                   {"passed", c.passed},
                   {"passes_expected", c.passes_expected},
                   {"points_mean", c.points_mean},
                   {"points_expected_mean", c.points_expected_mean},
                   {"telling", c.is_telling()}}};
}

void add_ready(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("ready", "How ready you are for the exam");
    auto pool = std::make_shared<PoolChoice>();
    auto day = std::make_shared<std::string>();
    sub->add_option("--element", pool->element, "Which pool, by its exam element");
    sub->add_option("--edition", pool->edition, "Of several editions, the first year of the one that is meant");
    sub->add_option("--exam", *day, "The exam day, as 2026-11-25");
    auto check = std::make_shared<bool>(false);
    sub->add_flag("--calibration", *check, "Whether the figures came true on your own mock papers");
    sub->callback([&out, pool, day, check] {
        out.long_work = "Looking ahead";
        out.command = [pool, day, check](Context& context) -> Result<Answer> {
            if (*check) return calibration_answer(context, *pool);
            std::optional<Day> exam;
            if (!day->empty()) {
                TRY(exam, parse_day(*day));
            }
            TRY(const Readiness r, ready(context, *pool, exam));
            return ready_answer(r);
        };
    });
}

}  // namespace

void add_study_commands(CLI::App& app, CommandLine& out) {
    add_practise(app, out);
    add_ready(app, out);
}

}  // namespace ladderline::node::cli
