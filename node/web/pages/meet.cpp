// The newcomer's arranged contacts.

#include "node/web/pages/meet_parts.hpp"
#include "node/web/pages/pause_notice.hpp"

namespace ladderline::node::web {
namespace {

Result<Response> meet_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), ""));
    const MeetPlace place{"", view};
    Page content;
    content.title = "Meet on the air";
    content.main = pause_notice(scene, view);
    content.main.add("<section><h2>Arranged</h2>{}</section>", arranged_list(scene, place));
    if (view.people.size() > 1) {
        content.main.add("<section><h2>Arrange a contact</h2>{}</section>", meet_form(scene, place));
        content.main.add("<section><h2>What is known beforehand</h2>{}</section>", meet_advice(scene, place));
    } else {
        content.main.add(
            "<p class=\"empty\">Nobody is on your path to meet yet. Let a mentor in from <a "
            "href=\"{}\">your circles</a>.</p>",
            url("/circles"));
    }
    content.side = html("<h2>Earlier ones</h2>{}", past_meetings(scene, place));
    if (!view.meetings.empty()) {
        content.side.add("<p><a href=\"{}\">All of them for your calendar</a></p>", url("/meet/calendar"));
    }
    content.side.add("<p><a href=\"{}\">Your contacts on a map</a></p>", url("/map"));
    content.as_of = as_of_words(scene.viewer, view.as_of);
    return show(scene, std::move(content));
}

Result<Response> meet_sent(const Scene& scene) {
    MeetAnswer answer = arrange_as_typed(scene, "");
    if (!answer.done) return meet_page(scene.back(std::move(answer.refusal)));
    return redirect(url("/meet?said={}", scene.say(*answer.done)));
}

Result<Response> outcome_sent(const Scene& scene) {
    const auto done = outcome_as_sent(scene, "");
    if (!done) return meet_page(scene.back(refusal_of(done.error())));
    const std::uint64_t said = scene.say(done.value());
    if (scene.request.form.get("outcome") == "made") {
        return redirect(url("/contact?meeting={}&said={}", scene.request.form.get("meeting"), said));
    }
    return redirect(again_address("", done.value().meeting, said));
}

}  // namespace

void add_meet_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/meet", meet_page);
    on_post(router, house, "/meet", meet_sent);
    on_post(router, house, "/meet/outcome", outcome_sent);
}

}  // namespace ladderline::node::web
