// Practice for the examination, one question at a time, and how ready the figures say one is. All of it stays on the
// desk.

#include <cmath>

#include "node/commands/study.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t places = domain::pool_choices;

PoolChoice pool_asked(const Fields& fields) {
    PoolChoice out;
    constexpr std::int64_t element_max = 99;
    const auto element = fields.number("element");
    if (element && *element >= 0 && *element <= element_max) out.element = static_cast<int>(*element);
    return out;
}

std::string letter(std::size_t place) {
    return std::string(1, static_cast<char>('A' + place));
}

Html question_head(const ShownQuestion& q) {
    Html out = html("<p class=\"whom\"><span class=\"call\">{}</span> {}</p><p class=\"stem\">{}</p>", q.id,
                    q.group_title, q.stem);
    if (!q.figure.empty()) {
        out.add("<p class=\"help\">It speaks of figure {}, which is printed with the pool.</p>", q.figure);
    }
    return out;
}

Html answer_buttons(const Scene& scene, const ShownQuestion& q) {
    Html inside = hidden("element", std::to_string(q.element));
    inside += hidden("question", q.id);
    inside += hidden("order", q.order);
    for (std::size_t place = 0; place < places; ++place) {
        inside.add(
            "<button type=\"submit\" class=\"choice\" name=\"place\" value=\"{}\"><span class=\"call\">{}</span> "
            "<span>{}</span></button>",
            place, letter(place), q.choices[place]);
    }
    inside += button("I don't know", "place", "none");
    return post_form(scene.request, url("/practise"), html("<div class=\"choices-list\">{}</div>", inside));
}

// Another pool, where there are several.
Result<Html> pool_links(const Scene& scene) {
    TRY(const auto all, pools(scene.context()));
    Html lines;
    for (const PoolSummary& p : all) {
        lines.add("<li><a href=\"{}\">{}</a> <span class=\"whom\">{} questions</span>{}</li>",
                  url("/practise?element={}", p.element), p.title, p.questions,
                  p.caution.empty() ? Html() : html("<p class=\"help\">{}</p>", p.caution));
    }
    return html(
        "<h2>Pools</h2><ul class=\"links\">{}</ul><p class=\"help\">A published pool is taken in on the command "
        "line: <code>ladderline practise --pool FILE</code>.</p><p><a href=\"{}\">How ready am I?</a></p><p>Answers "
        "stay on your own desk. Nobody else sees them, right or wrong.</p>",
        lines, url("/ready"));
}

Result<Response> practise_page(const Scene& scene) {
    Page content;
    content.title = "Practise";
    const auto question = next_question(scene.context(), pool_asked(scene.request.query));
    if (question) {
        content.main = question_head(question.value());
        content.main += answer_buttons(scene, question.value());
        content.main.add("<p class=\"help\">{}</p>", question.value().why);
    } else {
        content.main = html("<p class=\"empty\">{}</p>", question.error().sentence());
    }
    TRY(content.side, pool_links(scene));
    return show(scene, std::move(content), Live::no);  // news must not change the question under somebody's thumb
}

Html verdict(const Answered& answered, bool knew_not) {
    if (answered.right) return notice(Tone::done, "Right", html("<p>{}</p>", answered.right_text));
    return notice(Tone::plain, knew_not ? "The answer" : "Not that one",
                  html("<p>The right answer is <span class=\"call\">{}</span>: <strong>{}</strong></p>",
                       letter(answered.right_place), answered.right_text));
}

Html choices_seen(const ShownQuestion& q, const Answered& answered, std::optional<std::uint8_t> chosen) {
    Html lines;
    for (std::size_t place = 0; place < places; ++place) {
        std::string words;
        if (place == answered.right_place) words = "the right one";
        if (chosen && place == *chosen) words += words.empty() ? "your choice" : ", your choice";
        lines.add("<li><span class=\"call\">{}</span> {}{}</li>", letter(place), q.choices[place],
                  words.empty() ? Html() : html(" <strong>({})</strong>", words));
    }
    return html("<ul class=\"links\">{}</ul>", lines);
}

Result<AnswerRequest> answer_as_sent(const Scene& scene) {
    AnswerRequest out;
    out.pool = pool_asked(scene.request.form);
    out.question = scene.request.form.text("question");
    out.order = scene.request.form.text("order");
    const auto place = scene.request.form.number("place");
    if (place && *place >= 0 && *place < static_cast<std::int64_t>(places)) {
        out.place = static_cast<std::uint8_t>(*place);
    } else if (scene.request.form.get("place") != "none") {
        return Error{Fault::bad_input, "Press one of the four answers, or \"I don't know\"; nothing was counted."};
    }
    return out;
}

Html answered_body(const ShownQuestion& question, const Answered& answered, std::optional<std::uint8_t> place) {
    Html out = verdict(answered, !place);
    out += question_head(question);
    out += choices_seen(question, answered, place);
    if (!answered.explanation.empty()) out.add("<p>{}</p>", answered.explanation);
    if (!answered.citation.empty()) out.add("<p class=\"help\">The pool names: {}</p>", answered.citation);
    out.add("<p><a class=\"button main\" href=\"{}\">Next question</a></p><p>Today: {} of {} right.</p>",
            url("/practise?element={}", question.element), answered.right_today, answered.answered_today);
    return out;
}

Result<Response> answer_sent(const Scene& scene) {
    const auto request = answer_as_sent(scene);
    if (!request) return practise_page(scene.back(refusal_of(request.error())));
    const auto question =
        question_again(scene.context(), request.value().pool, request.value().question, request.value().order);
    if (!question) return practise_page(scene.back(refusal_of(question.error())));
    const auto answered = answer(scene.context(), request.value());
    if (!answered) return practise_page(scene.back(refusal_of(answered.error())));
    Told told;
    told.body = answered_body(question.value(), answered.value(), request.value().place);
    return redirect(url("/practise/answer?said={}", scene.say(std::move(told))));
}

Result<Response> answer_page(const Scene& scene) {
    const Told* told = told_of(scene);
    if (told == nullptr || told->body.empty()) return redirect(url("/practise"));
    Page content;
    content.title = "Practise";
    content.main = told->body;
    TRY(content.side, pool_links(scene));
    return show(scene, std::move(content), Live::no);
}

// Whole hundredths would promise more than a model knows.
std::string chance_words(double chance) {
    const int of_ten = static_cast<int>(std::lround(chance * 10.0));
    if (of_ten <= 0) return "fewer than one in ten";
    if (of_ten >= 10) return "more than nine in ten";
    return "about " + std::to_string(of_ten) + " in ten";
}

Html figures(const Readiness& r) {
    Table out;
    out.caption = "What the figures are";
    out.columns = {"Figure", "Value"};
    const auto row = [&](std::string_view what, const std::string& value) {
        out.rows.push_back({text(what), text(value)});
    };
    row("Papers like this one that you would pass", chance_words(r.pass_chance));
    row("Right answers to expect", std::to_string(std::lround(r.points_expected)) + " of " + std::to_string(r.drawn));
    row("Nine papers of ten lie between", std::to_string(r.points_low) + " and " + std::to_string(r.points_high));
    row("Right answers that pass", std::to_string(r.mark) + " of " + std::to_string(r.drawn));
    row("Questions seen", std::to_string(r.seen) + " of " + std::to_string(r.questions));
    row("Answers given", std::to_string(r.answered) + " over " + std::to_string(r.history_days) + " days");
    if (r.pace) row("Your pace", std::to_string(std::lround(*r.pace)) + " answers a day");
    if (r.pace_needed) row("Pace that would do", std::to_string(*r.pace_needed) + " answers a day until the exam");
    return table(out);
}

Html groups_to_win(const Readiness& r) {
    if (r.to_win.empty()) return html("<p class=\"empty\">No group stands out; answer a few questions first.</p>");
    return html("<ol>{}</ol>", each(r.to_win, [](const GroupToWin& g) {
                    return html("<li><span class=\"call\">{}</span> {} <span class=\"whom\">right {}</span></li>",
                                g.group, g.title, chance_words(g.chance_right));
                }));
}

Html exam_day_form(const Scene& scene, const Readiness& r) {
    Field day{"on", "Work it out for the exam day"};
    day.value = r.exam_day ? to_iso(*r.exam_day) : scene.request.query.text("on");
    Html inside = hidden("element", std::to_string(r.element));
    inside += day_row(day);
    inside += button("Work it out");
    return get_form(url("/ready"), inside);
}

Result<Response> ready_page(const Scene& scene) {
    std::optional<Day> on;
    const std::string typed = scene.request.query.text("on");
    const auto parsed = parse_day(typed);
    if (parsed) on = parsed.value();
    Page content;
    content.title = "How ready am I?";
    if (!typed.empty() && !parsed) {
        content.main += notice(Tone::problem, "That day was not used", parsed.error().sentence());
    }
    const auto ready_now = ready(scene.context(), pool_asked(scene.request.query), on);
    if (ready_now) {
        const Readiness& r = ready_now.value();
        content.main.add(
            "<p>{}. If the paper were written on {}{}, you would pass {} such papers, with what you "
            "remember and no more practice.</p>",
            r.pool, to_iso(r.on), r.exam_day ? " (your exam day)" : "", chance_words(r.pass_chance));
        if (!r.caution.empty()) content.main += notice(Tone::caution, "Read this first", r.caution);
        if (!r.ready_note.empty()) content.main.add("<p>{}</p>", r.ready_note);
        content.main += figures(r);
        content.main.add("<section><h2>Where practice helps most</h2>{}</section>", groups_to_win(r));
        content.main += exam_day_form(scene, r);
    } else {
        content.main.add("<p class=\"empty\">{}</p>", ready_now.error().sentence());
    }
    content.main.add("<p><a class=\"button main\" href=\"{}\">Practise</a></p>", url("/practise"));
    content.side = html(
        "<h2>What this is</h2><p>An estimate from your own answers and a simple model of forgetting. It is a guide for "
        "your next hour, not a promise: the exam team decides, and nobody but you sees this page.</p>");
    return show(scene, std::move(content));
}

}  // namespace

void add_practice_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/practise", practise_page);
    on_post(router, house, "/practise", answer_sent);
    on_get(router, house, "/practise/answer", answer_page);
    on_get(router, house, "/ready", ready_page);
}

}  // namespace ladderline::node::web
