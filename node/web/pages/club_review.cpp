// The club's questions one by one, its figures, and its year on one page.

#include "node/commands/club_numbers.hpp"
#include "node/commands/list_hits.hpp"
#include "node/commands/review.hpp"
#include "node/domain/review/small_counts.hpp"
#include "node/web/pages/club_paper.hpp"
#include "node/web/pages/curve_drawing.hpp"

namespace ladderline::node::web {
namespace {

std::string as_of_sentence(const std::optional<WallTime>& as_of) {
    return as_of ? "As of " + to_iso_minute(*as_of) + ", the oldest news in it." : "No news has come yet.";
}

Html sentence_list(const std::vector<std::string>& sentences) {
    return html("<ul>{}</ul>", each(sentences, [](const std::string& line) { return html("<li>{}</li>", line); }));
}

Html question_links(AnsweredFrom from) {
    Html lines;
    for (const ReviewQuestion& q : review_questions()) {
        if (q.from != from) continue;
        lines.add("<li><a href=\"{}\">{}. {}</a></li>", url("/club/questions/{}", q.number), q.number, q.title);
    }
    return html("<ul class=\"links\">{}</ul>", lines);
}

Result<Response> questions_page(const Scene& scene) {
    Page content;
    content.title = "Questions of the review";
    content.main = html("<section><h2>From the club's list, for its officers</h2>{}</section>",
                        question_links(AnsweredFrom::rows));
    content.main.add("<section><h2>Counts, no names</h2>{}</section>", question_links(AnsweredFrom::counts));
    content.main.add(
        "<section><h2>From the paths that you share</h2><p>Each mentor can ask these about their own newcomers.</p>"
        "{}</section>",
        question_links(AnsweredFrom::paths));
    content.side = html(
        "<h2>What the answers are</h2><p>Each says how old its oldest news is, of how many nothing is known, and what "
        "it "
        "cannot know. Groups below five are not spelled out.</p><p><a href=\"{}\">How long it takes</a></p><p><a "
        "href=\"{}\">The year on one page</a></p><p><a href=\"{}\">The review</a></p>",
        url("/club/numbers"), url("/club/year"), url("/club"));
    return show(scene, std::move(content));
}

Html people_table(const ReviewAnswer& answer) {
    Table out;
    out.caption = std::string(answer.question.title);
    out.columns = {"Who", "What is known"};
    out.empty_sentence = answer.none;
    for (const ReviewedPerson& person : answer.who) out.rows.push_back({person_name(person.name), text(person.detail)});
    return table(out);
}

Result<Response> question_page(const Scene& scene) {
    const auto number = scene.request.params.number("number");
    TRY(const ReviewAnswer answer, question(scene.context(), static_cast<int>(number.value_or(0))));
    Page content;
    content.title = std::to_string(answer.question.number) + ". " + std::string(answer.question.title);
    if (answer.counts.empty()) {
        content.main = html("<div class=\"on-screen\">{}</div>{}", people_table(answer), answer_on_paper(answer));
    } else {
        content.main = sentence_list(answer.counts);
    }
    content.main.add("<p>{}</p><p>{}</p><p>Not known: {}. {}</p>", answer.looked_at, as_of_sentence(answer.as_of),
                     answer.unknown, answer.cannot_know);
    content.side = html("<p class=\"on-screen\"><a href=\"{}\">All questions</a></p>", url("/club/questions"));
    content.as_of = as_of_words(scene.viewer, answer.as_of);
    return show(scene, std::move(content));
}

Html milestone_part(const WaitCurve& milestone) {
    Html out = html("<p>{}</p>{}", milestone.definition, sentence_list(milestone.sentences));
    std::vector<Cohort> drawn = milestone.years;
    if (drawn.size() != 1) drawn.insert(drawn.begin(), milestone.all);
    out += curve_drawing(milestone.title, drawn);
    for (const Cohort& year : milestone.years) out.add("<p>{}: {}.</p>", year.title, median_words(year));
    if (!milestone.comparison.empty()) out.add("<p>{}</p>", milestone.comparison);
    return html("<section><h2>{}</h2>{}</section>", milestone.title, out);
}

Html stages_part(const ClubNumbers& numbers) {
    Table out;
    out.caption = "Stages to which five or more people came";
    out.columns = {"Stage", "Came", "Went on", "Left the club there", "Quiet for 90 days"};
    out.empty_sentence = "No stage has seen five people yet.";
    for (const StageLoss& line : numbers.stages) {
        const auto cell = [](int n) { return text(domain::fewer_than_five(n)); };
        out.rows.push_back({text(line.stage), cell(line.came), cell(line.went_on), cell(line.left), cell(line.quiet)});
    }
    return html("<section><h2>Where people are lost</h2>{}</section>", table(out));
}

Result<Response> numbers_page(const Scene& scene) {
    TRY(const ClubNumbers numbers, club_numbers(scene.context()));
    Page content;
    content.title = "How long it takes";
    for (const WaitCurve& milestone : numbers.milestones) content.main += milestone_part(milestone);
    content.main += stages_part(numbers);
    content.side = html(
        "<h2>How these are worked out</h2><p>Whoever is still on the way counts as waiting (Kaplan and Meier); whoever "
        "left the club counts as left, which a curve of waiting alone would hide (Aalen and Johansen). Of fewer than "
        "five people nothing is shown.</p><p>{} Nothing is known of {} {}.</p><p><a href=\"{}\">Questions of the "
        "review</a></p>",
        as_of_sentence(numbers.as_of), numbers.unknown, numbers.unknown == 1 ? "newcomer" : "newcomers",
        url("/club/questions"));
    content.side.add("<p><a href=\"{}\">Did the list of those who need us help?</a></p>", url("/club/list"));
    content.as_of = as_of_words(scene.viewer, numbers.as_of);
    return show(scene, std::move(content));
}

// Reads every row that the club ever got, so it is asked for by itself.
Result<Response> list_page(const Scene& scene) {
    TRY(const ListHits hits, list_hits(scene.context()));
    Page content;
    content.title = "Did the list help?";
    content.main = sentence_list(hits.sentences);
    content.side = html(
        "<p>The list of those who need us, made again for every fourth week of the last year from the "
        "news of that day.</p><p><a href=\"{}\">How long it takes</a></p><p><a href=\"{}\">The "
        "review</a></p>",
        url("/club/numbers"), url("/club"));
    return show(scene, std::move(content), Live::no);
}

Result<Response> year_page(const Scene& scene) {
    TRY(const AnnualReport report, annual_report(scene.context()));
    Page content;
    content.title = "The year of " + report.club;
    content.main = html("<p>{} to {}</p>{}<p class=\"on-screen\">{}</p>", to_iso(report.from + 1), to_iso(report.to),
                        sentence_list(report.sentences), as_of_sentence(report.as_of));
    content.side = html(
        "<div class=\"on-screen\"><p>Counts only; it prints on one page.</p><p><a href=\"{}\">How long it takes</a></p>"
        "</div>",
        url("/club/numbers"));
    content.as_of = as_of_words(scene.viewer, report.as_of);
    return show(scene, std::move(content));
}

}  // namespace

void add_club_review_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/club/questions", questions_page);
    on_get(router, house, "/club/questions/{number}", question_page);
    on_get(router, house, "/club/numbers", numbers_page);
    on_get(router, house, "/club/year", year_page);
    on_get(router, house, "/club/list", list_page);
    add_club_handover_pages(router, house);
    add_old_records_page(router, house);
}

}  // namespace ladderline::node::web
