// How ready the figures say one is, and whether they came true. All of it stays on the desk.

#include <cmath>

#include "node/commands/mock.hpp"
#include "node/web/pages/frame.hpp"
#include "node/web/pages/pool_address.hpp"

namespace ladderline::node::web {
namespace {

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
    Html inside = hidden("pool", pool_word(r.from));
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
        if (!r.pace_note.empty()) content.main.add("<p>{}</p>", r.pace_note);
        content.main += figures(r);
        content.main.add("<section><h2>Where practice helps most</h2>{}</section>", groups_to_win(r));
        content.main += exam_day_form(scene, r);
    } else {
        content.main.add("<p class=\"empty\">{}</p>", ready_now.error().sentence());
    }
    content.main.add("<p><a class=\"button main\" href=\"{}\">Practise</a></p>", url("/practise"));
    content.side = html(
        "<h2>What this is</h2><p>An estimate from your own answers and a simple model of forgetting. It is a guide for "
        "your next hour, not a promise: the exam team decides, and nobody but you sees this page.</p><p><a "
        "href=\"{}\">Did the figures come "
        "true on my mock papers?</a></p>",
        url("/ready/calibration"));
    return show(scene, std::move(content));
}

Html paper_table(const CalibrationView& view) {
    Table out;
    out.caption = "Foretold and come true";
    out.columns = {"Marked", "Foretold points", "Foretold chance to pass", "Came out"};
    out.empty_sentence = "No paper drawn at random has been marked yet.";
    for (const MarkedPaper& paper : view.papers) {
        const domain::PaperForecast& f = paper.forecast;
        out.rows.push_back(
            {html("<a href=\"{}\">{}</a>", url("/mock/result/{}", paper.number), to_iso(utc_day(paper.at))),
             html("{} to {}, most likely {}", f.points_low, f.points_high, std::lround(f.points_expected)),
             text(chance_words(f.pass_chance)),
             html("{} of {}, {}", paper.points, paper.of, paper.passed ? "passed" : "not passed")});
    }
    return table(out);
}

Result<Response> calibration_page(const Scene& scene) {
    Page content;
    content.title = "Did the figures come true?";
    const auto view = calibration(scene.context(), pool_asked(scene.request.query));
    if (view) {
        for (const std::string& sentence : view.value().sentences) content.main.add("<p>{}</p>", sentence);
        content.main += paper_table(view.value());
    } else {
        content.main.add("<p class=\"empty\">{}</p>", view.error().sentence());
    }
    content.main.add("<p><a href=\"{}\">Mock papers</a></p><p><a href=\"{}\">How ready am I?</a></p>", url("/mock"),
                     url("/ready"));
    return show(scene, std::move(content));
}

}  // namespace

void add_ready_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/ready", ready_page);
    on_get(router, house, "/ready/calibration", calibration_page);
}

}  // namespace ladderline::node::web
