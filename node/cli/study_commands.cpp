#include <CLI/CLI.hpp>
#include <fstream>
#include <sstream>

#include "node/cli/command_line.hpp"
#include "node/commands/class_view.hpp"
#include "node/commands/study.hpp"

namespace ladderline::node::cli {
namespace {

std::string percent(double chance) {
    char out[16];
    std::snprintf(out, sizeof out, "%.0f %%", chance * 100);
    return out;
}

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
    std::optional<int> element;
    std::string file;
    std::string question;
    std::string order;
    std::string answer;
    std::string publish;  // name of the club
    bool unpublish = false;
};

Result<Answer> take_in_pool(Context& context, const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    if (!in) return Error{Fault::not_found, "The file " + path + " cannot be read; nothing was taken in."};
    std::ostringstream text;
    text << in.rdbuf();
    TRY(const PoolSummary pool, import_pool(context, text.str()));
    std::string said = pool.title + ": " + std::to_string(pool.questions) + " questions in " +
                       std::to_string(pool.groups) + " groups, " + std::to_string(pool.withdrawn) + " withdrawn.";
    if (pool.valid_from && pool.valid_until) {
        said += " For exams from " + to_iso(*pool.valid_from) + " to " + to_iso(*pool.valid_until) + ".";
    }
    if (!pool.caution.empty()) said += " " + pool.caution;
    return Answer{
        said,
        {{"title", pool.title}, {"questions", pool.questions}, {"groups", pool.groups}, {"withdrawn", pool.withdrawn}}};
}

Result<Answer> give_answer(Context& context, const PractiseOptions& o) {
    AnswerRequest request{{o.element}, o.question, o.order, std::nullopt};
    const char letter =
        o.answer.empty() ? '?' : static_cast<char>(std::toupper(static_cast<unsigned char>(o.answer[0])));
    if (o.answer.size() > 1 || (letter != '?' && (letter < 'A' || letter > 'D'))) {
        return Error{Fault::bad_input, "Answer with A, B, C or D, or ? if you do not know."};
    }
    if (letter != '?') request.place = static_cast<std::uint8_t>(letter - 'A');
    TRY(const Answered done, answer(context, request));
    std::string said = done.right ? "Right." : "Not this one. Right is ";
    if (!done.right) said += std::string(1, static_cast<char>('A' + done.right_place)) + ": " + done.right_text;
    if (!done.citation.empty()) said += " [" + done.citation + "]";
    return Answer{said,
                  {{"right", done.right},
                   {"right_place", done.right_place},
                   {"right_text", done.right_text},
                   {"answered_today", done.answered_today}}};
}

void add_practise(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("practise", "Practise for the exam, one question at a time");
    auto o = std::make_shared<PractiseOptions>();
    sub->add_option("--element", o->element, "Which pool, by its exam element");
    sub->add_option("--pool", o->file, "Take in a question pool in its published plain-text layout")
        ->transform([folder = out.folder](const std::string& name) { return (folder / name).string(); });
    sub->add_option("--question", o->question, "The question answered");
    sub->add_option("--order", o->order, "The order in which its choices were shown");
    sub->add_option("--answer", o->answer, "A, B, C, D, or ? for: I do not know");
    sub->add_option("--publish", o->publish, "Show this club which groups you are weak in, until it is stopped");
    sub->add_flag("--unpublish", o->unpublish, "Show it no more");
    sub->callback([&out, o] {
        const bool shows = !o->publish.empty() || o->unpublish;
        out.practise_here = o->file.empty() && o->question.empty() && !shows;
        out.command = [o](Context& context) -> Result<Answer> {
            if (o->unpublish || !o->publish.empty()) {
                TRY(const Done done,
                    o->unpublish ? stop_publishing(context) : publish_study(context, {o->publish, o->element}));
                return answer_of(done);
            }
            if (!o->file.empty()) return take_in_pool(context, o->file);
            if (!o->question.empty()) return give_answer(context, *o);
            TRY(const ShownQuestion question, next_question(context, {o->element}));
            return shown_answer(question);
        };
    });
}

Answer ready_answer(const Readiness& r) {
    std::vector<std::string> text{
        r.pool,
        "Answers so far: " + std::to_string(r.answered) + "; questions seen: " + std::to_string(r.seen) + " of " +
            std::to_string(r.questions) + ".",
        "Chance to pass on " + to_iso(r.on) + " with no further practice: " + percent(r.pass_chance) + ".",
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
    if (!r.caution.empty()) text.push_back(r.caution);
    text.emplace_back("This is an estimate from your own answers; it stays on your desk.");
    return {lines(text),
            {{"pass_chance", r.pass_chance},
             {"points_low", r.points_low},
             {"points_high", r.points_high},
             {"mark", r.mark},
             {"seen", r.seen},
             {"questions", r.questions},
             {"to_win", std::move(to_win)}}};
}

void add_ready(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("ready", "How ready you are for the exam");
    auto element = std::make_shared<std::optional<int>>();
    auto day = std::make_shared<std::string>();
    sub->add_option("--element", *element, "Which pool, by its exam element");
    sub->add_option("--exam", *day, "The exam day, as 2026-11-25");
    sub->callback([&out, element, day] {
        out.command = [element, day](Context& context) -> Result<Answer> {
            std::optional<Day> exam;
            if (!day->empty()) {
                TRY(exam, parse_day(*day));
            }
            TRY(const Readiness r, ready(context, {*element}, exam));
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
