// From one officer to the next: what is open, on one sheet, and the seat itself.

#include <algorithm>

#include "node/commands/handover.hpp"
#include "node/web/pages/club_paper.hpp"
#include "node/web/pages/final_form.hpp"

namespace ladderline::node::web {
namespace {

// Of each kind; more than that does not fit the sheet, and the rest is counted.
constexpr std::size_t matters_max = 14;

Html matters(std::string_view title, const std::vector<OpenMatter>& all, std::string_view none) {
    Html lines;
    for (std::size_t i = 0; i < all.size(); ++i) {
        lines.add("<li class=\"{}\"><strong>{}</strong>: {}</li>", i < matters_max ? "" : "on-screen", all[i].who,
                  all[i].sentence);
    }
    Html body = lines.empty() ? html("<p>{}</p>", none) : html("<ul>{}</ul>", lines);
    if (all.size() > matters_max) {
        body.add("<p class=\"on-paper\">And {} more, on the screen.</p>", all.size() - matters_max);
    }
    return html("<section><h2>{}</h2>{}</section>", title, body);
}

std::string officers_words(const OpenMatters& open) {
    std::string out;
    for (const std::string& name : open.officers) out += (out.empty() ? "" : ", ") + name;
    return "Officers: " + out + ".";
}

Html seat_part(const Scene& scene, const OpenMatters& open) {
    const FormOn form(scene, "seat");
    Html out = form.form(url("/club/officer"),
                         html("{}<button type=\"submit\">Give them an officer's seat</button>",
                              text_row(form.required("who", "Name of the next officer", "",
                                                     "Somebody of the club. Both of you are officers until you step "
                                                     "down."))));
    out.add(
        "<p>Pairs that stand: {}. Only on your word: {}. A pair falls with its officer's word, so the next officer "
        "says "
        "them again before you go.</p>",
        open.standing_pairs, open.on_my_word);
    out += button_form(scene.request, url("/club/take-over"), "I am the next officer: take the pairs over", {});
    out += final_form(FormOn(scene, "down"), url("/club/step-down"), {}, "Yes, I give up the seat",
                      "Step down, and go on as a mentor");
    return html("<section class=\"on-screen\"><h2>The seat</h2>{}</section>", out);
}

Result<Response> handover_page(const Scene& scene) {
    TRY(const OpenMatters open, open_matters(scene.context()));
    Page content;
    content.title = "Hand-over of " + open.club;
    Html sheet = html("<p>{} Pairs that stand: {}. Newcomers of whom nothing is known: {}.</p>", officers_words(open),
                      open.standing_pairs, open.unknown);
    sheet += matters("Asked, and not answered yet", open.asks, "Nobody waits for an answer.");
    sheet += matters("Dates that do not move", open.dates, "None is near.");
    sheet += matters("Under 18", open.minors, "Nobody in the club is under 18.");
    sheet += matters("Pairs to look at together", open.reviews, "No pair is 30, 90 or 365 days old about now.");
    sheet.add(
        "<p>Of paths that this node does not share nothing stands here; ask the mentors. Passphrases and paper keys "
        "are "
        "nobody's to hand over: the next officer has a node of their own.</p>");
    content.main = html("<div class=\"one-sheet\">{}</div>{}", sheet, seat_part(scene, open));
    content.side = html("<p class=\"on-screen\"><a href=\"{}\">The review</a></p>", url("/club"));
    content.as_of = as_of_words(scene.viewer, open.as_of);
    return show(scene, std::move(content));
}

Result<Response> after(const Scene& scene, const Result<Done>& done, std::string field = {}) {
    if (!done) return handover_page(scene.back(refusal_of(done.error(), std::move(field))));
    return redirect(url("/club?said={}", scene.say(done.value())));
}

Result<Response> officer_sent(const Scene& scene) {
    const FormOn form(scene, "seat");
    if (form.text("who").empty()) {
        return after(scene, Error{Fault::bad_input, "Write the name of the next officer; nothing was changed."}, "who");
    }
    return after(scene, make_officer(scene.context(), form.text("who")), "who");
}

Result<Response> take_over_sent(const Scene& scene) {
    return after(scene, take_over_pairs(scene.context()));
}

Result<Response> step_down_sent(const Scene& scene) {
    const FormOn form(scene, "down");
    const auto is_sure = sure(form);
    if (!is_sure) return after(scene, is_sure.error(), "sure");
    return after(scene, step_down(scene.context(), protocol::MemberRole::mentor));
}

}  // namespace

void add_club_handover_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/club/handover", handover_page);
    on_post(router, house, "/club/officer", officer_sent);
    on_post(router, house, "/club/take-over", take_over_sent);
    on_post(router, house, "/club/step-down", step_down_sent);
}

}  // namespace ladderline::node::web
