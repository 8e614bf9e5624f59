// The pairing board: for the club's officers.

#include "node/commands/pair_board.hpp"

#include <algorithm>
#include <limits>

#include "node/commands/pair_requests.hpp"
#include "node/commands/pair_reviews.hpp"
#include "node/commands/pair_wishes.hpp"
#include "node/web/pages/final_form.hpp"
#include "node/web/pages/paging.hpp"
#include "node/web/pages/pair_else.hpp"
#include "node/web/pages/pair_parts.hpp"

namespace ladderline::node::web {
namespace {

// A big club's lists stop here, so that the page stays light; of more people than listed_max a name is typed.
constexpr std::size_t rows_max = 50;
constexpr std::size_t listed_max = 100;
// Newcomers times mentors up to which the board shows what else could be done; beyond, that has its own page.
constexpr std::size_t alternatives_pairs_max = 10'000;

Html proposal_part(const Scene& scene, const PairBoard& board, const Paging& paging) {
    const PairProposal& p = board.best;
    if (p.newcomers == 0)
        return html("<p class=\"empty\">Nobody waits for a proposal: all have a mentor, were asked, or rest.</p>");
    return html(
        "<p>{} of {} who are not known to have a mentor could be paired; mentors have {} places free.</p>"
        "<ul class=\"arranged\">{}</ul>{}<p class=\"help\">{}</p>",
        p.paired, p.newcomers, p.places,
        each(p.lines,
             [&](const PairLine& line) {
                 return pair_line(scene, line, {url("/club/pairing/agree"), url("/club/pairing/ask")});
             }),
        paging.links([](std::size_t from) { return url("/club/pairing?from={}", from); }), p.note);
}

std::string answers_of(const OpenRequest& one) {
    if (one.newcomer_said_yes) return "the newcomer said yes";
    if (one.mentor_said_yes) return "the mentor said yes";
    return "nobody has answered yet";
}

Html asked_part(const Scene& scene, const PairBoard& board) {
    if (board.open.empty()) return html("<p class=\"empty\">Nobody is asked just now.</p>");
    return html("<ul class=\"arranged\">{}</ul>{}",
                each(first_of(board.open, rows_max),
                     [&](const OpenRequest& one) {
                         return html("<li><p>{} with {} <span class=\"whom\">since {}; {}</span></p>{}</li>",
                                     person_name(one.newcomer_name), person_name(one.mentor_name), to_iso(one.since),
                                     answers_of(one),
                                     button_form(scene.request, url("/club/pairing/take-back"),
                                                 "Take back: " + one.newcomer_name + " with " + one.mentor_name,
                                                 {{"newcomer", key_of(one.newcomer)}, {"mentor", key_of(one.mentor)}}));
                     }),
                and_more(board.open.size(), rows_max));
}

std::vector<Choice> choices_of(const std::vector<Named>& people) {
    std::vector<Choice> out;
    for (const Named& one : people) out.push_back({key_of(one.id), one.name});
    return out;
}

// `times`: how often such a list stands on the page.
Html who_row(Field field, const std::vector<Named>& people, std::size_t times = 1) {
    if (people.size() * times <= listed_max) return list_row(field, choices_of(people));
    field.help = "Their name or call sign";
    return text_row(field);
}

// Newcomers of mentors who rest, each with the way to somebody else.
Html resting_part(const Scene& scene, const PairBoard& board) {
    Html out;
    std::size_t rows = 0;
    const auto resting = std::ranges::count_if(board.standing, &PairOfClub::mentor_rests);
    const std::size_t shown = std::min(static_cast<std::size_t>(resting), rows_max);
    for (const PairOfClub& pair : board.standing) {
        if (!pair.mentor_rests || ++rows > rows_max) continue;
        const FormOn form(scene, "hand-" + key_of(pair.newcomer).substr(0, 12));
        std::vector<Named> others = board.mentors;
        std::erase_if(others, [&](const Named& one) { return one.id == pair.mentor; });
        Html inside = hidden(form.key("newcomer"), key_of(pair.newcomer));
        const Field to = form.required("to", "Hand " + pair.newcomer_name + " over to");
        inside += others.size() * shown <= listed_max ? choice_row(to, choices_of(others)) : who_row(to, others, shown);
        inside += button("Hand over with thanks");
        out.add("<li><p>{} rests; with them since {}: {}</p>{}</li>", person_name(pair.mentor_name), to_iso(pair.since),
                person_name(pair.newcomer_name),
                others.empty() ? Html() : form.form(url("/club/pairing/hand-over"), inside));
    }
    if (out.empty()) return html("<p class=\"empty\">No mentor with newcomers is resting.</p>");
    return html("<ul class=\"arranged\">{}</ul>{}", out, and_more(rows, rows_max));
}

Html out_of_reach_part(const Scene& scene, const PairBoard& board) {
    if (board.mentors.empty()) return html("<p class=\"empty\">Nobody in the club mentors yet.</p>");
    const FormOn form(scene, "gone");
    const Field who = form.required("mentor", "Who cannot be reached");
    const Html row =
        board.mentors.size() <= listed_max ? choice_row(who, choices_of(board.mentors)) : who_row(who, board.mentors);
    return html(
        "<p>For a mentor of whom nobody has heard, or who has died. All their pairings end; their newcomers come first "
        "in the next proposal, with the time they waited kept. Nothing is said about why. Speak with each newcomer "
        "first.</p>{}",
        final_form(form, url("/club/pairing/out-of-reach"), row,
                   "Yes, end all their pairings; I spoke with each newcomer",
                   "Cannot be reached: end all their pairings"));
}

Html apart_notes(const Scene& scene, const PairBoard& board) {
    Html list = each(board.apart, [&](const ApartNote& note) {
        const std::string both = note.newcomer.name + " and " + note.mentor.name;
        return html("<li><p>{}</p>{}</li>", both,
                    button_form(scene.request, url("/club/pairing/together"), "No longer apart: " + both,
                                {{"newcomer", key_of(note.newcomer.id)}, {"mentor", key_of(note.mentor.id)}}));
    });
    if (board.newcomers.empty() || board.mentors.empty()) return list;
    const FormOn form(scene, "apart");
    Html inside = who_row(form.field("newcomer", "Newcomer"), board.newcomers);
    inside += who_row(form.field("mentor", "Mentor"), board.mentors);
    inside += button("Keep the two apart");
    return html("{}{}", board.apart.empty() ? Html() : html("<ul class=\"arranged\">{}</ul>", list),
                form.form(url("/club/pairing/apart"), inside));
}

Html clearance_notes(const Scene& scene, const PairBoard& board) {
    Html list = each(board.cleared, [&](const ClearanceNote& note) {
        return html("<li><p>{}: until {}, may stand beside {}</p>{}</li>", person_name(note.adult.name),
                    to_iso(note.until), note.beside,
                    button_form(scene.request, url("/club/pairing/not-cleared"), "Forget: " + note.adult.name,
                                {{"who", key_of(note.adult.id)}}));
    });
    const FormOn form(scene, "cleared");
    Html inside = who_row(form.field("who", "Whose clearance you have seen"), board.adults);
    inside += day_row(form.required("until", "Its last day"));
    inside += number_row(form.required("beside", "How many under 18 they can be the second adult of", "1"), 0, 20);
    inside += button("Note the clearance");
    return html("{}{}", board.cleared.empty() ? Html() : html("<ul class=\"arranged\">{}</ul>", list),
                form.form(url("/club/pairing/cleared"), inside));
}

Html notes_part(const Scene& scene, const PairBoard& board) {
    return html(
        "<p>What you note here stays on your own machines; other officers do not see it, and their proposals do not "
        "know of it. Write no reason down anywhere.</p><h3>Kept apart</h3>{}<h3>Clearances for work with "
        "minors</h3><p>The last day alone is kept, never a result. Local rules on safeguarding come first.</p>{}",
        apart_notes(scene, board), clearance_notes(scene, board));
}

Html else_parts(const PairBoard& board) {
    if (!board.has_alternatives) {
        return html(
            "<section><h2>What else could be done</h2><p>In a club of this size it takes a moment, so it has "
            "<a href=\"{}\">a page of its own</a>: who would rather swap, what a mentor's pause would "
            "mean.</p></section>",
            url("/club/pairing/else"));
    }
    return html("<section><h2>What else could be done</h2>{}</section><section><h2>What if</h2>{}</section>",
                pair_else_part(board), what_if_part(board));
}

Result<Response> board_page(const Scene& scene) {
    const Paging asked(scene.request, std::numeric_limits<std::size_t>::max(), rows_max);
    BoardParts parts;
    parts.first_line = asked.begin();
    parts.lines_max = rows_max;
    parts.alternatives_pairs_max = alternatives_pairs_max;
    TRY(const PairBoard board, pair_board(scene.context(), parts));
    const Paging paging(scene.request, board.best.newcomers, rows_max);
    if (paging.begin() != asked.begin()) return redirect(url("/club/pairing?from={}", paging.begin()));
    Page content;
    content.title = "Pairing board";
    content.main = html("<section><h2>Proposed pairs</h2>{}</section>", proposal_part(scene, board, paging));
    content.main.add("<section><h2>Asked, and waiting for an answer</h2>{}</section>", asked_part(scene, board));
    content.main.add(
        "<section><h2>How pairings go</h2>{}</section>",
        board.reviews.empty()
            ? html("<p class=\"empty\">No review is open: both said that it goes well, or its day has "
                   "not come.</p>")
            : html("{}{}", sentences(first_of(board.reviews, rows_max)), and_more(board.reviews.size(), rows_max)));
    content.main.add("<section><h2>Mentors who rest</h2>{}</section>", resting_part(scene, board));
    content.main += else_parts(board);
    if (!board.second_adults.empty()) {
        content.main.add("<section><h2>Second adults</h2>{}{}</section>",
                         sentences(first_of(board.second_adults, rows_max)),
                         and_more(board.second_adults.size(), rows_max));
    }
    content.main.add("<section><h2>A mentor cannot be reached</h2>{}</section>", out_of_reach_part(scene, board));
    content.main.add("<section><h2>Only on your machines</h2>{}</section>", notes_part(scene, board));
    content.side = html(
        "<section><h2>You decide</h2><p>The tool proposes. Nothing is stored until you ask two people or agree a "
        "pair.</p><p><a href=\"{}\">The review</a></p></section><section><h2>How points are counted</h2>{}</section>",
        url("/club"), pair_weights_part());
    return show(scene, std::move(content));
}

Result<Response> answered(const Scene& scene, const Result<Done>& done, std::string field = {}) {
    if (!done) return board_page(scene.back(refusal_of(done.error(), std::move(field))));
    return redirect(url("/club/pairing?said={}", scene.say(done.value())));
}

Result<Response> agree_sent(const Scene& scene) {
    const auto& form = scene.request.form;
    return answered(scene, agree_pair(scene.context(), form.get("newcomer"), form.get("mentor")));
}

Result<Response> ask_sent(const Scene& scene) {
    const auto& form = scene.request.form;
    std::vector<std::string> mentors{form.text("mentor")};
    if (!form.text("other").empty()) mentors.push_back(form.text("other"));
    return answered(scene, ask_pair(scene.context(), form.get("newcomer"), mentors));
}

Result<Response> take_back_sent(const Scene& scene) {
    const auto& form = scene.request.form;
    return answered(scene, withdraw_pair(scene.context(), form.get("newcomer"), form.get("mentor")));
}

Result<Response> hand_over_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    if (form.text("to").empty())
        return answered(scene, Error{Fault::bad_input, "Choose to whom; nothing was done."}, "to");
    return answered(scene, hand_over(scene.context(), form.text("newcomer"), form.text("to"), ""), "to");
}

Result<Response> out_of_reach_sent(const Scene& scene) {
    const FormOn form(scene, "gone");
    const auto is_sure = sure(form);
    if (!is_sure) return answered(scene, is_sure.error(), "sure");
    if (form.text("mentor").empty()) {
        return answered(scene, Error{Fault::bad_input, "Choose who cannot be reached; nothing was done."}, "mentor");
    }
    return answered(scene, mentor_out_of_reach(scene.context(), form.text("mentor")), "mentor");
}

Result<Response> apart_sent(const Scene& scene) {
    const FormOn form(scene, "apart");
    return answered(scene, keep_apart(scene.context(), form.text("newcomer"), form.text("mentor"), true), "mentor");
}

Result<Response> together_sent(const Scene& scene) {
    const auto& form = scene.request.form;
    return answered(scene, keep_apart(scene.context(), form.get("newcomer"), form.get("mentor"), false));
}

Result<Response> cleared_sent(const Scene& scene) {
    const FormOn form(scene, "cleared");
    const auto until = parse_day(form.text("until"));
    if (!until) return board_page(scene.back(refusal_of(until.error(), "until")));
    return answered(
        scene, note_clearance(scene.context(), form.text("who"), until.value(), form.number("beside").value_or(-1)),
        "beside");
}

Result<Response> not_cleared_sent(const Scene& scene) {
    return answered(scene, note_clearance(scene.context(), scene.request.form.get("who"), std::nullopt, 0));
}

}  // namespace

void add_pair_board_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/club/pairing", board_page);
    on_get(router, house, "/club/pairing/else", pair_else_page);
    on_post(router, house, "/club/pairing/agree", agree_sent);
    on_post(router, house, "/club/pairing/ask", ask_sent);
    on_post(router, house, "/club/pairing/take-back", take_back_sent);
    on_post(router, house, "/club/pairing/hand-over", hand_over_sent);
    on_post(router, house, "/club/pairing/out-of-reach", out_of_reach_sent);
    on_post(router, house, "/club/pairing/apart", apart_sent);
    on_post(router, house, "/club/pairing/together", together_sent);
    on_post(router, house, "/club/pairing/cleared", cleared_sent);
    on_post(router, house, "/club/pairing/not-cleared", not_cleared_sent);
}

}  // namespace ladderline::node::web
