#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/explain.hpp"
#include "node/commands/mock.hpp"
#include "node/commands/named_files.hpp"

namespace ladderline::node::cli {
namespace {

struct MockOptions {
    std::optional<int> element;
    bool fresh = false;
    std::string paper;
    bool sheet = false;
    std::string html;
    std::string mark;
    std::string answers;
    std::optional<std::int64_t> minutes;
    bool results = false;
    std::filesystem::path folder;
};

boost::json::object paper_json(const MockSheet& sheet, bool with_key) {
    boost::json::array questions;
    for (std::size_t i = 0; i < sheet.questions.size(); ++i) {
        const ShownQuestion& q = sheet.questions[i];
        boost::json::array choices;
        for (const std::string& choice : q.choices) choices.push_back(boost::json::value(choice));
        boost::json::object one{{"question", q.id}, {"stem", q.stem}, {"figure", q.figure}};
        one["choices"] = std::move(choices);
        if (with_key) one["right_place"] = sheet.right_places[i];
        questions.push_back(std::move(one));
    }
    boost::json::object out{{"number", sheet.number},
                            {"element", sheet.element},
                            {"fresh", sheet.fresh},
                            {"drawn", to_iso(sheet.drawn)},
                            {"mark", sheet.mark}};
    out["questions"] = std::move(questions);
    return out;
}

boost::json::object marked_json(const MarkedPaper& paper) {
    boost::json::array missed;
    for (const std::string& group : paper.missed_groups()) missed.push_back(boost::json::value(group));
    boost::json::object out{{"number", paper.number}, {"element", paper.element}, {"points", paper.points},
                            {"of", paper.of},         {"mark", paper.mark},       {"passed", paper.passed}};
    out["marked"] = to_iso_minute(paper.at);
    out["missed_groups"] = std::move(missed);
    out["pass_chance_before"] = paper.forecast.pass_chance;
    out["points_expected_before"] = paper.forecast.points_expected;
    out["points_low_before"] = paper.forecast.points_low;
    out["points_high_before"] = paper.forecast.points_high;
    return out;
}

Result<Answer> marked_answer(Context& context, const MockOptions& o) {
    TRY(const std::string number, mark_mock_paper(context, {o.mark, o.answers, o.minutes}));
    TRY(const MarkedPaper paper, marked_paper(context, number));
    std::vector<std::string> text = result_lines(paper);
    for (std::size_t i = 0; i < paper.questions.size(); ++i) {
        const MarkedQuestion& q = paper.questions[i];
        if (q.is_right) continue;
        text.push_back("  " + std::to_string(i + 1) + ". " + q.question + "  " +
                       (q.given.empty() ? "left open" : "you: " + q.given) + "; right: " + q.right);
    }
    text.emplace_back("It stays on your desk, and its answers count as practice.");
    return Answer{lines(text), marked_json(paper)};
}

Result<Answer> results_answer(Context& context) {
    TRY(const auto all, marked_papers(context));
    std::vector<std::string> text;
    boost::json::array json;
    for (const MarkedPaper& paper : all) {
        text.push_back(to_iso(utc_day(paper.at)) + "  " + paper.number + "  element " + std::to_string(paper.element) +
                       "  " + std::to_string(paper.points) + " of " + std::to_string(paper.of) +
                       (paper.passed ? "  passed" : "  not passed"));
        json.push_back(marked_json(paper));
    }
    if (text.empty()) text.emplace_back("No mock paper has been marked yet.");
    return Answer{lines(text), std::move(json)};
}

Result<Answer> sheet_answer(const MockSheet& sheet, const MockOptions& o) {
    if (!o.html.empty()) {
        TRY(const Done done, write_page(o.folder / o.html, o.sheet ? marking_page(sheet) : paper_page(sheet)));
        return Answer{"Paper " + sheet.number + ". " + done.sentence, {{"number", sheet.number}}};
    }
    return Answer{lines(o.sheet ? marking_lines(sheet) : paper_lines(sheet)), paper_json(sheet, o.sheet)};
}

void check_together(const MockOptions& o) {
    if (o.mark.empty() && (!o.answers.empty() || o.minutes)) {
        throw CLI::ValidationError("Say with --mark which paper the answers belong to");
    }
    if (!o.mark.empty() && (!o.paper.empty() || o.fresh || o.sheet || o.element)) {
        throw CLI::ValidationError("Mark a paper with --mark, --answers and --minutes alone");
    }
    if (!o.paper.empty() && (o.fresh || o.element)) {
        throw CLI::ValidationError("The number of a paper says already what it is");
    }
    if (o.sheet && o.paper.empty()) {
        throw CLI::ValidationError("Say with --paper which paper's marking sheet is wanted");
    }
}

void add_mock(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("mock", "A mock paper: draw it, print it, have it marked");
    auto o = std::make_shared<MockOptions>();
    o->folder = out.folder;
    sub->add_option("--element", o->element, "Which pool, by its exam element");
    sub->add_flag("--fresh", o->fresh, "Prefer questions that you have not seen lately; else drawn at random");
    sub->add_option("--paper", o->paper, "A paper again, by its number");
    sub->add_flag("--sheet", o->sheet, "Its marking sheet, with the right answers");
    sub->add_option("--html", o->html, "Write a page to print into this file");
    sub->add_option("--mark", o->mark, "Mark the paper of this number");
    sub->add_option("--answers", o->answers, "Your answers in order, \"ABCD?\", ? for one left open");
    sub->add_option("--minutes", o->minutes, "How long it took; only noted");
    sub->add_flag("--results", o->results, "The papers marked so far");
    sub->callback([&out, o] {
        check_together(*o);
        out.command = [o](Context& context) -> Result<Answer> {
            if (o->results) return results_answer(context);
            if (!o->mark.empty()) return marked_answer(context, *o);
            const auto mode = o->fresh ? domain::MockMode::fresh : domain::MockMode::faithful;
            if (o->paper.empty()) {
                TRY(const MockSheet sheet, draw_mock_paper(context, {o->element}, mode));
                return sheet_answer(sheet, *o);
            }
            TRY(const MockSheet sheet, mock_paper(context, o->paper));
            return sheet_answer(sheet, *o);
        };
    });
}

void add_explain(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("explain", "Say why the right answer of a question is right");
    auto request = std::make_shared<ExplainRequest>();
    sub->add_option("question", request->question, "The question, as T1A01")->required();
    sub->add_option("text", request->text, "In your own words; \"\" takes yours away")->required();
    sub->add_option("--element", request->pool.element, "Which pool, by its exam element");
    sub->add_option("--edition", request->pool.edition, "Of several editions, the first year of the one that is meant");
    sub->add_option("--circle", request->circle, "club, path or desk; the club if you are in one");
    sub->add_option("--who", request->who, "On whose path, if it is not your own");
    sub->callback([&out, request] {
        out.command = [request](Context& context) -> Result<Answer> {
            TRY(const Done done, explain(context, *request));
            return answer_of(done);
        };
    });
}

}  // namespace

void add_mock_commands(CLI::App& app, CommandLine& out) {
    add_mock(app, out);
    add_explain(app, out);
}

}  // namespace ladderline::node::cli
