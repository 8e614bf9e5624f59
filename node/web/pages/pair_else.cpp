#include "node/web/pages/pair_else.hpp"

#include "node/web/pages/pair_parts.hpp"

namespace ladderline::node::web {
namespace {

// A page of a big club works out so much; the command line takes the time for all of it.
constexpr std::size_t what_ifs_max = 10;
constexpr std::size_t pairs_max = 100'000;

Html cell(const std::optional<PairOutcome>& outcome) {
    return text(outcome ? outcome->sentence : std::string("not worked out here"));
}

Html meant_form(const Scene& scene) {
    const std::string typed = scene.request.query.text("mentor");
    Html inside =
        text_row(Field{"mentor", "About which mentor", typed, "Their name or call sign; they then come first"});
    inside += button("Ask about them");
    return get_form(url("/club/pairing/else"), inside);
}

}  // namespace

Html what_if_part(const PairBoard& board) {
    Table out;
    out.caption = "One mentor at a time, worked out exactly; those with a free place first";
    out.columns = {"Mentor", "Takes one more", "Pauses"};
    out.empty_sentence = "Nobody in the club mentors yet, or all of them rest.";
    for (const WhatIf& one : board.what_if) {
        out.rows.push_back({person_name(one.name), cell(one.one_more), cell(one.pause)});
    }
    Html part = table(out);
    const std::size_t left_out = board.mentors_awake - board.what_if.size();
    if (left_out > 0) {
        part.add("<p>{} mentors are asked about here, {} are not: it would take too long.</p>", board.what_if.size(),
                 left_out);
    }
    return part;
}

Html pair_else_part(const PairBoard& board) {
    Html kept = html("<p>{}</p>", board.kept.sentence);
    if (!board.kept.cautions.empty()) kept += sentences(board.kept.cautions);
    if (!board.all_compared) {
        kept = html(
            "<p>Every newcomer with every mentor is too much for a page in a club of this size; <code>ladderline "
            "pair</code> takes the time for it.</p>");
    }
    return html("<h3>Fair</h3><p>{}</p><h3>Who would rather swap</h3><p>{}</p><h3>Keep present pairs</h3>{}",
                board.fair.outcome.sentence, board.blocking_sentence, kept);
}

Html pair_weights_part() {
    return html(
        "<p>A match costs 0 (perfect) to 1000 points. At most so many are lost for:</p>{}<p>Each further newcomer of "
        "one mentor costs 20 points more than the one before. As many as possible are paired first, then at the least "
        "points over all; the proof of that is checked each time.</p>",
        sentences(pair_weights_in_words()));
}

Result<Response> pair_else_page(const Scene& scene) {
    BoardParts parts;
    parts.lines_max = 0;
    parts.open_matters = false;
    parts.pairs_max = pairs_max;
    parts.what_ifs_max = what_ifs_max;
    const std::string meant = scene.request.query.text("mentor");
    Html problem;
    if (!meant.empty()) {
        TRY(const CircleView club, own_circle(scene.context(), protocol::CircleKind::club));
        const auto found = find_person(scene.context(), club.id, meant);
        if (found) parts.asked_about = found.value().id;
        if (!found) problem = html("<p>{}</p>", found.error().sentence());
    }
    TRY(const PairBoard board, pair_board(scene.context(), parts));
    Page content;
    content.title = "What else could be done";
    content.main = html("<section><h2>Other ways to pair</h2>{}</section>", pair_else_part(board));
    content.main.add("<section><h2>What if</h2>{}{}{}</section>", meant_form(scene), problem, what_if_part(board));
    content.side = html(
        "<p>Nothing is stored here. The proposal itself stands on <a href=\"{}\">the pairing board</a>.</p><h2>How "
        "points are counted</h2>{}",
        url("/club/pairing"), pair_weights_part());
    return show(scene, std::move(content), Live::no);
}

}  // namespace ladderline::node::web
