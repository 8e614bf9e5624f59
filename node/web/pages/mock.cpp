// Mock papers: drawn, written on the screen or on paper, marked.

#include "node/commands/mock.hpp"

#include "node/commands/figures.hpp"
#include "node/web/pages/frame.hpp"
#include "node/web/pages/pool_address.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::int64_t minutes_max = 1440;

std::string drawn_words(const MockSheet& sheet) {
    return (sheet.fresh ? "Fresh, drawn " : "Drawn at random ") + to_iso(sheet.drawn);
}

Html paper_head(const MockSheet& sheet) {
    return html(
        "<p>{}</p><p>Paper <span class=\"call\" translate=\"no\">{}</span>. {}. {} questions, {} right answers "
        "pass.</p>",
        sheet.pool, sheet.number, drawn_words(sheet), sheet.questions.size(), sheet.mark);
}

Html draw_forms(const Scene& scene) {
    const std::string pool = pool_word(pool_asked(scene.request.query));
    return html(
        "<section><h2>A new paper</h2><p>One question of each group, as in the examination room.</p>{}<p "
        "class=\"help\">A fresh paper prefers questions that you have not seen lately.</p>{}</section>",
        button_form(scene.request, url("/mock/draw"), "Draw a paper", {{"mode", "random"}, {"pool", pool}}),
        button_form(scene.request, url("/mock/draw"), "Draw a fresh paper", {{"mode", "fresh"}, {"pool", pool}}));
}

Html typed_form(const Scene& scene) {
    const FormOn form(scene, "typed");
    Html inside = text_row(form.required("number", "Number of the paper", "", "It stands at the head of the paper."));
    inside += text_row(form.required("answers", "Your answers in order", "",
                                     "One letter a question, A to D, and ? for one left open; blanks do not count."));
    inside += number_row(form.field("minutes", "Minutes that it took", "", "Only noted; leave it empty if you like."),
                         0, minutes_max);
    inside += button("Mark it");
    return html("<section><h2>Type a paper back in</h2>{}</section>", form.form(url("/mock/mark"), inside));
}

Result<Html> marked_table(const Scene& scene) {
    TRY(const auto all, marked_papers(scene.context()));
    Table out;
    out.caption = "Papers marked so far";
    out.columns = {"Marked", "Element", "Right", "Result"};
    out.empty_sentence = "No mock paper has been marked yet.";
    for (const MarkedPaper& paper : all) {
        out.rows.push_back(
            {html("<a href=\"{}\">{}</a>", url("/mock/result/{}", paper.number), to_iso(utc_day(paper.at))),
             html("{}", paper.element), html("{} of {}", paper.points, paper.of),
             text(paper.passed ? "passed" : "not passed")});
    }
    return table(out);
}

Result<Response> mock_page(const Scene& scene) {
    Page content;
    content.title = "Mock papers";
    content.main = draw_forms(scene);
    content.main += typed_form(scene);
    TRY(const Html marked, marked_table(scene));
    content.main += marked;
    content.side = html(
        "<h2>What this is</h2><p>Practice for the day itself. Nobody but you sees a paper or its result, and the time "
        "is only noted. The exam team's own instructions come first.</p><p><a href=\"{}\">Did the figures come "
        "true?</a></p><p><a href=\"{}\">Practise</a></p>",
        url("/ready/calibration"), url("/practise"));
    return show(scene, std::move(content), Live::no);
}

Result<Response> draw_sent(const Scene& scene) {
    const auto mode = scene.request.form.get("mode") == "fresh" ? domain::MockMode::fresh : domain::MockMode::faithful;
    const auto sheet = draw_mock_paper(scene.context(), pool_asked(scene.request.form), mode);
    if (!sheet) return mock_page(scene.back(refusal_of(sheet.error())));
    return redirect(url("/mock/paper/{}", sheet.value().number));
}

std::string field_of(std::size_t question) {
    return "q" + std::to_string(question + 1);
}

Html boxes(std::size_t questions) {
    Html cells;
    for (std::size_t i = 0; i < questions; ++i) cells.add("<li>{}</li>", i + 1);
    return html("<section class=\"on-paper\"><h2>Answers, one letter a box</h2><ul class=\"boxes\">{}</ul></section>",
                cells);
}

Result<Response> paper_page_of(const Scene& scene, const std::string& number) {
    TRY(const MockSheet sheet, mock_paper(scene.context(), number));
    const FormOn form(scene, "paper");
    Html inside = hidden("number", sheet.number);
    for (std::size_t i = 0; i < sheet.questions.size(); ++i) {
        const ShownQuestion& q = sheet.questions[i];
        std::vector<Choice> choices;
        for (std::size_t place = 0; place < q.choices.size(); ++place) {
            choices.push_back({place_letter(place), place_letter(place) + ". " + q.choices[place]});
        }
        std::string stem = std::to_string(i + 1) + ". " + q.stem;
        TRY(const bool has_picture, has_figure(scene.context(), q));
        if (has_picture) inside += figure_picture(q.from, q.figure);
        if (!q.figure.empty() && !has_picture) stem += " (figure " + q.figure + ", printed with the pool)";
        inside += radio_rows(form.field(field_of(i), std::move(stem)), choices);
    }
    inside += number_row(form.field("minutes", "Minutes that it took", "", "Only noted; leave it empty if you like."),
                         0, minutes_max);
    inside += button("Hand it in");
    Page content;
    content.title = "Mock paper";
    content.main = paper_head(sheet);
    content.main += form.form(url("/mock/mark"), inside);
    content.main += boxes(sheet.questions.size());
    content.side = html(
        "<h2>On paper</h2><p>Print this page; the row of boxes comes with it. Afterwards type the letters in under <a "
        "href=\"{}\">Mock papers</a>.</p><p><a href=\"{}\">Marking sheet, with the right answers</a></p>",
        url("/mock"), url("/mock/sheet/{}", sheet.number));
    return show(scene, std::move(content), Live::no);
}

Result<Response> paper_page_asked(const Scene& scene) {
    return paper_page_of(scene, scene.request.params.get("number"));
}

Result<Response> sheet_page(const Scene& scene) {
    TRY(const MockSheet sheet, mock_paper(scene.context(), scene.request.params.get("number")));
    Table out;
    out.caption = "Right answers";
    out.columns = {"Number", "Right", "Question", "Choice"};
    for (std::size_t i = 0; i < sheet.questions.size(); ++i) {
        const ShownQuestion& q = sheet.questions[i];
        const std::size_t right = sheet.right_places[i];
        out.rows.push_back({html("{}", i + 1), text(place_letter(right)), call_sign(q.id), text(q.choices[right])});
    }
    Page content;
    content.title = "Marking sheet";
    content.main = paper_head(sheet);
    content.main += table(out);
    content.main += boxes(sheet.questions.size());
    return show(scene, std::move(content), Live::no);
}

// The letters of a paper that was written on the screen.
std::string letters_of(const FormOn& form, std::size_t questions) {
    std::string out;
    for (std::size_t i = 0; i < questions; ++i) {
        const std::string said = form.text(field_of(i));
        out += said.empty() ? "?" : said;
    }
    return out;
}

std::optional<std::int64_t> minutes_of(const FormOn& form, bool& unreadable) {
    const auto minutes = form.number("minutes");
    unreadable = !minutes && !form.text("minutes").empty();
    return minutes;
}

Result<Response> mark_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    const bool typed = scene.request.form.get("form") == "typed";
    const std::string number = typed ? form.text("number") : scene.request.form.text("number");
    const auto back = [&](const Error& error, std::string field) {
        const Scene again = scene.back(refusal_of(error, std::move(field)));
        return typed ? mock_page(again) : paper_page_of(again, number);
    };
    const auto sheet = mock_paper(scene.context(), number);
    if (!sheet) return mock_page(scene.back(refusal_of(sheet.error(), "number")));
    bool unreadable = false;
    const auto minutes = minutes_of(form, unreadable);
    if (unreadable) {
        return back({Fault::bad_input, "Say the time in whole minutes, or leave it out; nothing was stored."},
                    "minutes");
    }
    const std::string answers = typed ? form.text("answers") : letters_of(form, sheet.value().questions.size());
    const auto marked = mark_mock_paper(scene.context(), {number, answers, minutes});
    if (!marked) return back(marked.error(), "answers");
    return redirect(url("/mock/result/{}", marked.value()));
}

Html missed_list(const MarkedPaper& paper) {
    Html out;
    for (std::size_t i = 0; i < paper.questions.size(); ++i) {
        const MarkedQuestion& q = paper.questions[i];
        if (q.is_right) continue;
        out.add(
            "<li><p>{}. <span class=\"call\">{}</span> {}</p><p>{}</p><p>Right: <strong>{}</strong></p><p><a "
            "href=\"{}\">Why?</a></p></li>",
            i + 1, q.question, q.stem, q.given.empty() ? "Left open" : "You: " + q.given, q.right,
            url("/practise/why?pool={}&question={}", pool_word(paper.from), q.question));
    }
    if (out.empty()) return html("<p>Nothing was missed.</p>");
    return html("<section><h2>What was missed</h2><ul class=\"links\">{}</ul></section>", out);
}

Result<Response> result_page(const Scene& scene) {
    TRY(const MarkedPaper paper, marked_paper(scene.context(), scene.request.params.get("number")));
    Page content;
    content.title = paper.passed ? "Passed" : "Not passed";
    for (const std::string& line : result_lines(paper)) content.main.add("<p>{}</p>", line);
    content.main += missed_list(paper);
    content.main.add(
        "<p><a class=\"button main\" href=\"{}\">Mock papers</a></p><p>It stays on your desk, and its "
        "answers count as practice.</p>",
        url("/mock"));
    return show(scene, std::move(content), Live::no);
}

}  // namespace

void add_mock_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/mock", mock_page);
    on_post(router, house, "/mock/draw", draw_sent);
    on_get(router, house, "/mock/paper/{number}", paper_page_asked);
    on_get(router, house, "/mock/sheet/{number}", sheet_page);
    on_post(router, house, "/mock/mark", mark_sent);
    on_get(router, house, "/mock/result/{number}", result_page);
}

}  // namespace ladderline::node::web
