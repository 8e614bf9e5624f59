// Practice for the examination, one question at a time, and problems to work out. All of it stays on the desk.

#include <algorithm>
#include <array>

#include "node/commands/explain.hpp"
#include "node/commands/figures.hpp"
#include "node/commands/problems.hpp"
#include "node/web/pages/frame.hpp"
#include "node/web/pages/pool_address.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t places = domain::pool_choices;

Result<Html> question_head(const Scene& scene, const ShownQuestion& q) {
    Html out = html("<p class=\"whom\"><span class=\"call\">{}</span> {}</p><p class=\"stem\">{}</p>", q.id,
                    q.group_title, q.stem);
    if (q.figure.empty()) return out;
    TRY(const bool is_here, has_figure(scene.context(), q));
    if (is_here) {
        out += figure_picture(q.from, q.figure);
    } else {
        out.add(
            "<p class=\"help\">It speaks of figure {}, which is published with the pool. <a href=\"{}\">Add its "
            "picture</a></p>",
            q.figure, url("/practise/pools?pool={}", pool_word(q.from)));
    }
    return out;
}

// A question put once is counted once, however often its form comes: a thumb presses twice, and a browser sends again
// what it does not know to have arrived.
class PutOnce {
public:
    // Of a question that is put now. No two are alike, not in two runs of the program either.
    std::string number(WallTime now) { return std::to_string(now.ms) + "-" + std::to_string(++put_); }
    // What was said when it was counted.
    std::optional<std::uint64_t> said(const std::string& number) const {
        const auto found = std::ranges::find(counted_, number, &Counted::number);
        if (number.empty() || found == counted_.end()) return std::nullopt;
        return found->said;
    }
    void count(std::string number, std::uint64_t said) {
        counted_[next_++ % counted_.size()] = {std::move(number), said};
    }

private:
    struct Counted {
        std::string number;
        std::uint64_t said = 0;
    };
    std::array<Counted, 32> counted_;  // as many as a told sentence is kept for
    std::size_t next_ = 0;
    std::uint64_t put_ = 0;
};

Html answer_buttons(const Scene& scene, const ShownQuestion& q, PutOnce& once) {
    Html inside = hidden("pool", pool_word(q.from));
    inside += hidden("put", once.number(scene.context().now()));
    inside += hidden("question", q.id);
    inside += hidden("order", q.order);
    for (std::size_t place = 0; place < places; ++place) {
        inside.add(
            "<button type=\"submit\" class=\"choice\" name=\"place\" value=\"{}\"><span class=\"call\">{}</span> "
            "<span>{}</span></button>",
            place, place_letter(place), q.choices[place]);
    }
    inside += button("I don't know", "place", "none");
    return post_form(scene.request, url("/practise"), html("<div class=\"choices-list\">{}</div>", inside));
}

Html pool_note(const PoolSummary& pool) {
    Html out;
    if (pool.counts) out.add("<p class=\"help\">The edition for your exam day.</p>");
    if (!pool.caution.empty()) out.add("<p class=\"help\">{}</p>", pool.caution);
    return out;
}

// Another pool, where there are several.
Result<Html> pool_links(const Scene& scene) {
    TRY(const auto all, pools(scene.context()));
    Html lines;
    for (const PoolSummary& p : all) {
        lines.add("<li><a href=\"{}\">{}</a> <span class=\"whom\">{} questions</span>{}</li>",
                  url("/practise?pool={}", pool_word(p.which)), p.title, p.questions, pool_note(p));
    }
    return html(
        "<h2>Pools</h2><ul class=\"links\">{}</ul><ul class=\"links\"><li><a href=\"{}\">Take in a pool, or its "
        "pictures</a></li><li><a href=\"{}\">Mock papers</a></li><li><a href=\"{}\">Problems to work "
        "out</a></li><li><a href=\"{}\">How ready "
        "am I?</a></li></ul><p>Answers "
        "stay on your own desk. Nobody else sees them, right or wrong.</p>",
        lines, url("/practise/pools"), url("/mock"), url("/practise/problems"), url("/ready"));
}

Result<Response> practise_page(const Scene& scene, PutOnce& once) {
    Page content;
    content.title = "Practise";
    const auto question = next_question(scene.context(), pool_asked(scene.request.query));
    if (question) {
        TRY(content.main, question_head(scene, question.value()));
        content.main += answer_buttons(scene, question.value(), once);
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
                       place_letter(answered.right_place), answered.right_text));
}

Html choices_seen(const ShownQuestion& q, const Answered& answered, std::optional<std::uint8_t> chosen) {
    Html lines;
    for (std::size_t place = 0; place < places; ++place) {
        std::string words;
        if (place == answered.right_place) words = "the right one";
        if (chosen && place == *chosen) words += words.empty() ? "your choice" : ", your choice";
        lines.add("<li><span class=\"call\">{}</span> {}{}</li>", place_letter(place), q.choices[place],
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

// What those who teach said about it.
Html explained(const std::vector<Explanation>& all, const ShownQuestion& question) {
    Html out = each(all, [](const Explanation& one) {
        return html("<p><strong>{}:</strong> {}</p>", person_name(one.author), one.text);
    });
    out.add("<p><a href=\"{}\">Say in your own words why that is right</a></p>",
            url("/practise/why?pool={}&question={}", pool_word(question.from), question.id));
    return out;
}

Html answered_body(const ShownQuestion& question, const Html& head, const Answered& answered,
                   const std::vector<Explanation>& why, std::optional<std::uint8_t> place) {
    Html out = verdict(answered, !place);
    out += head;
    out += choices_seen(question, answered, place);
    out += explained(why, question);
    if (!answered.citation.empty()) out.add("<p class=\"help\">The pool names: {}</p>", answered.citation);
    out.add("<p><a class=\"button main\" href=\"{}\">Next question</a></p><p>Today: {} of {} right.</p>",
            url("/practise?pool={}", pool_word(question.from)), answered.right_today, answered.answered_today);
    return out;
}

Result<Response> answer_sent(const Scene& scene, PutOnce& once) {
    const auto address = [](std::uint64_t said) { return redirect(url("/practise/answer?said={}", said)); };
    const std::string put = scene.request.form.text("put");
    if (const auto said = once.said(put)) return address(*said);
    const auto request = answer_as_sent(scene);
    if (!request) return practise_page(scene.back(refusal_of(request.error())), once);
    const auto question =
        question_again(scene.context(), request.value().pool, request.value().question, request.value().order);
    if (!question) return practise_page(scene.back(refusal_of(question.error())), once);
    const auto answered = answer(scene.context(), request.value());
    if (!answered) return practise_page(scene.back(refusal_of(answered.error())), once);
    TRY(const auto why, explanations(scene.context(), question.value().from, question.value().id));
    Told told;
    TRY(const Html head, question_head(scene, question.value()));
    told.body = answered_body(question.value(), head, answered.value(), why, request.value().place);
    const std::uint64_t said = scene.say(std::move(told));
    once.count(put, said);
    return address(said);
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

Result<Response> problem_page(const Scene& scene) {
    const ShownProblem shown = next_problem(scene.context());
    const domain::Problem& p = shown.problem;
    Html inside = hidden("number", shown.number);
    for (std::size_t place = 0; place < p.choices.size(); ++place) {
        inside.add(
            "<button type=\"submit\" class=\"choice\" name=\"place\" value=\"{}\"><span class=\"call\">{}</span> "
            "<span>{}</span></button>",
            place, place_letter(place), p.choices[place].text);
    }
    inside += button("I don't know", "place", "none");
    Page content;
    content.title = "Problems to work out";
    content.main = html("<p class=\"whom\">{}</p><p class=\"stem\">{}</p>", domain::title_of(p.topic), p.stem);
    content.main +=
        post_form(scene.request, url("/practise/problems"), html("<div class=\"choices-list\">{}</div>", inside));
    content.side = html(
        "<h2>What these are</h2><p>Made from formulas, with new numbers each time. They belong to no pool, nothing is "
        "kept of them, and they say nothing about readiness.</p><p><a href=\"{}\">Practise from the pool</a></p>",
        url("/practise"));
    return show(scene, std::move(content), Live::no);
}

Result<Response> problem_answered(const Scene& scene) {
    const auto shown = problem_again(scene.request.form.text("number"));
    if (!shown) return problem_page(scene.back(refusal_of(shown.error())));
    const domain::Problem& p = shown.value().problem;
    const auto place = scene.request.form.number("place");
    const bool chosen = place && *place >= 0 && *place < static_cast<std::int64_t>(places);
    const std::string& right = p.choices[p.right_place].text;
    Told told;
    if (chosen && *place == p.right_place) {
        told.body = notice(Tone::done, "Right", html("<p>{}</p>", right));
    } else {
        told.body = notice(Tone::plain, chosen ? "Not that one" : "The answer",
                           html("<p>The right answer is <span class=\"call\">{}</span>: <strong>{}</strong></p>",
                                place_letter(p.right_place), right));
    }
    told.body.add("<p class=\"stem\">{}</p><p>{}</p>", p.stem, p.working);
    told.body += html("<h2>Where the others come from</h2><ul class=\"links\">{}</ul>",
                      each(p.choices, [](const domain::ProblemChoice& one) {
                          if (one.slip.empty()) return Html();
                          return html("<li>{}: {}</li>", one.text, one.slip);
                      }));
    told.body.add("<p><a class=\"button main\" href=\"{}\">Next problem</a></p>", url("/practise/problems"));
    return redirect(url("/practise/answer?said={}", scene.say(std::move(told))));
}

}  // namespace

void add_practice_pages(Router& router, const std::shared_ptr<House>& house) {
    const auto once = std::make_shared<PutOnce>();
    on_get(router, house, "/practise", [once](const Scene& scene) { return practise_page(scene, *once); });
    on_post(router, house, "/practise", [once](const Scene& scene) { return answer_sent(scene, *once); });
    on_get(router, house, "/practise/answer", answer_page);
    on_get(router, house, "/practise/problems", problem_page);
    on_post(router, house, "/practise/problems", problem_answered);
}

}  // namespace ladderline::node::web
