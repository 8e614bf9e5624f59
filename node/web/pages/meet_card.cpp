// An arranged contact to take along: the card on paper, and the calendar file.

#include "node/commands/meeting_card.hpp"
#include "node/web/pages/meet_parts.hpp"

namespace ladderline::node::web {
namespace {

constexpr const char* calendar_type = "text/calendar; charset=utf-8";

std::string who_of(const Scene& scene) {
    return scene.request.params.get("who");
}

Html spoken_lines(const std::vector<std::string>& lines) {
    return html("<ul>{}</ul>", each(lines, [](const std::string& line) { return html("<li>{}</li>", line); }));
}

Result<Response> card_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), who_of(scene)));
    TRY(const MeetingView meeting, find_meeting(view, scene.request.params.get("id")));
    const MeetingCard card = meeting_card(scene.context(), view, meeting);
    Html rows;
    for (const MeetingCard::Row& row : card.rows) rows.add("<dt>{}</dt><dd>{}</dd>", row.label, row.text);
    Page content;
    content.title = card.title;
    content.main = html(
        "<div class=\"take-along\"><dl class=\"facts\">{}</dl><h2>What to say first</h2>{}<h2>What to say "
        "last</h2>{}<h2>Good to know</h2>{}</div>",
        rows, spoken_lines(card.say_first), spoken_lines(card.say_last), spoken_lines(card.good_to_know));
    if (meeting.outcome) {
        content.main.add("<p>This one is over: {}.</p>", outcome_word(meeting, scene.context().now()));
    }
    const std::string id = key_of(meeting.id);
    const Url file =
        who_of(scene).empty() ? url("/meet/{}/calendar", id) : url("/people/{}/meet/{}/calendar", who_of(scene), id);
    content.side = html(
        "<div class=\"on-screen\"><h2>On paper</h2><p>Print this page: black on white, in large print.</p><p><a "
        "href=\"{}\">For your calendar</a></p><p><a href=\"{}\">Back</a></p></div>",
        file, who_of(scene).empty() ? url("/meet") : url("/people/{}", who_of(scene)));
    content.as_of = as_of_words(scene.viewer, view.as_of);
    return show(scene, std::move(content), Live::no);
}

Result<Response> one_calendar(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), who_of(scene)));
    TRY(const MeetingView meeting, find_meeting(view, scene.request.params.get("id")));
    return download("contact-" + to_iso(utc_day(meeting.meeting.start)) + ".ics", calendar_type,
                    meetings_calendar(view, {meeting}, scene.context().now()));
}

Result<Response> all_calendar(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), who_of(scene)));
    return download("contacts.ics", calendar_type, meetings_calendar(view, view.meetings, scene.context().now()));
}

}  // namespace

void add_meet_card_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/meet/{id}/card", card_page);
    on_get(router, house, "/meet/{id}/calendar", one_calendar);
    on_get(router, house, "/meet/calendar", all_calendar);
    on_get(router, house, "/people/{who}/meet/{id}/card", card_page);
    on_get(router, house, "/people/{who}/meet/{id}/calendar", one_calendar);
    on_get(router, house, "/people/{who}/calendar", all_calendar);
}

}  // namespace ladderline::node::web
