// Why the right answer of a question is right: what was said about it, and a form to say more.

#include "node/commands/explain.hpp"
#include "node/web/pages/frame.hpp"
#include "node/web/pages/pool_address.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t text_chars_max = 4000;

struct Asked {
    PoolChoice pool;
    std::string question;
};
Asked asked(const Fields& fields) {
    return {pool_asked(fields), fields.text("question")};
}

Html explain_form(const Scene& scene, const Asked& asked, const std::vector<ExplainPlace>& places) {
    const FormOn form(scene, "why");
    std::vector<Choice> choices;
    for (std::size_t i = 0; i < places.size(); ++i) choices.push_back({std::to_string(i), places[i].words});
    Html inside = hidden("question", asked.question);
    inside += hidden("pool", pool_word(asked.pool));
    Field words = form.field("text", "In your own words", "", "An empty one takes yours away.");
    words.chars_max = text_chars_max;
    inside += area_row(words);
    inside += radio_rows(form.required("place", "Who is to see it", "0"), choices);
    inside += button("Say it");
    return form.form(url("/practise/why"), inside);
}

Result<Response> why_of(const Scene& scene, const Asked& asked) {
    TRY(const ShownQuestion shown, question_again(scene.context(), asked.pool, asked.question, "0123"));
    TRY(const auto said, explanations(scene.context(), asked.pool, asked.question));
    TRY(const auto places, explain_places(scene.context()));
    Page content;
    content.title = "Why is that right?";
    content.main = html("<p class=\"whom\"><span class=\"call\">{}</span> {}</p><p class=\"stem\">{}</p>", shown.id,
                        shown.group_title, shown.stem);
    if (said.empty()) content.main.add("<p class=\"empty\">Nobody has explained this question yet.</p>");
    content.main += each(said, [&](const Explanation& one) {
        return html("<section><h2>{}</h2><p>{}</p><p class=\"whom\">{}</p></section>", person_name(one.author),
                    one.text, to_iso(utc_day(one.said)));
    });
    content.main += explain_form(scene, asked, places);
    content.side = html(
        "<h2>Who explains</h2><p>Mentors and officers, for their club or on a path; anybody for themselves. What is "
        "said "
        "to others cannot be unsaid once it has been synced.</p><p><a href=\"{}\">Practise</a></p>",
        url("/practise"));
    return show(scene, std::move(content), Live::no);
}

Result<Response> why_page(const Scene& scene) {
    return why_of(scene, asked(scene.request.query));
}

Result<Response> why_sent(const Scene& scene) {
    const Asked about = asked(scene.request.form);
    const FormOn form = FormOn::sent(scene);
    TRY(const auto places, explain_places(scene.context()));
    const auto place = form.number("place");
    if (!place || *place < 0 || *place >= static_cast<std::int64_t>(places.size())) {
        return why_of(scene.back({400, "Say who is to see it; nothing was sent.", "place"}), about);
    }
    const ExplainPlace& where = places[static_cast<std::size_t>(*place)];
    const auto done =
        explain(scene.context(), {about.pool, about.question, form.text("text"), where.circle, where.who});
    if (!done) return why_of(scene.back(refusal_of(done.error(), "text")), about);
    return redirect(url("/practise/why?pool={}&question={}&said={}", pool_word(about.pool), about.question,
                        scene.say(done.value())));
}

}  // namespace

void add_why_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/practise/why", why_page);
    on_post(router, house, "/practise/why", why_sent);
}

}  // namespace ladderline::node::web
