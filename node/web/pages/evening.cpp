// An evening on the air for several newcomers at once, for whoever helps them.

#include "node/commands/evening.hpp"

#include "node/web/pages/meet_parts.hpp"
#include "node/web/pages/page_words.hpp"
#include "protocol/base/comma_list.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t proposals = 5;
constexpr std::int64_t hour_ms = 3'600'000;

std::string outcome_words(protocol::MeetOutcome outcome) {
    switch (outcome) {
        case protocol::MeetOutcome::made:
            return "we talked";
        case protocol::MeetOutcome::nobody_heard:
            return "nobody heard, which is nobody's fault";
        case protocol::MeetOutcome::moved:
            break;
    }
    return "moved";
}

Html evening_part(const Scene& scene, const EveningView& evening) {
    const Html lines = each(evening.people, [&](const EveningView::Person& p) {
        const Html state =
            p.meeting.outcome ? html("<p>{}</p>", outcome_words(*p.meeting.outcome))
                              : outcome_buttons(scene, url("/evening/outcome"),
                                                {{"who", p.key}, {"meeting", key_of(p.meeting.id)}}, p.meeting, p.name);
        return html("<li><p><a href=\"/people/{}\">{}</a></p>{}</li>", p.key, person_name(p.name), state);
    });
    return html(
        "<section><h3>{}</h3><p><span class=\"call\">{}</span> MHz {}</p><ul class=\"arranged\">{}</ul></section>",
        both_clocks(scene.viewer, evening.start), evening.frequency, evening.mode, lines);
}

// Who stands ticked: those of the address, so that times can be looked up before anything is arranged.
Html who_rows(const Scene& scene, const FormOn& form, const std::vector<WayView>& ways) {
    std::vector<Choice> choices;
    for (const WayView& w : ways) {
        choices.push_back({key_of(w.owner.id), w.owner.name + (w.owner.is_minor ? " (under 18)" : "")});
    }
    const std::vector<std::string> ticked = form.came_back() ? form.all("who") : scene.request.query.all("evening-who");
    return check_rows(form.required("who", "Who comes", "", "Nobody sees who else was asked"), choices, ticked);
}

// The first step: times that suit most of those ticked.
Html times_part(const Scene& scene, const std::vector<WayView>& ways) {
    const FormOn form(scene, "evening");
    Html inside = who_rows(scene, form, ways);
    inside += button("Which times suit them?");
    return get_form(url("/evening"), inside);
}

Html proposed_rows(const Scene& scene, const FormOn& form, const std::vector<std::string>& who) {
    const auto found = propose_evening(scene.context(), who, proposals);
    if (!found) return html("<p class=\"help\">{}</p>", page_words(scene.viewer, found.error().sentence()));
    Html out;
    if (!found.value().times_lack.empty()) {
        out.add("<p class=\"help\">No weekly times on the card, so it is not known: {}.</p>",
                joined(found.value().times_lack));
    }
    if (found.value().starts.empty()) {
        out.add("<p class=\"help\">In the next two weeks no time suits you and any of them.</p>");
        return out;
    }
    std::vector<Choice> choices{{"", "The day and time written below"}};
    for (const EveningStart& s : found.value().starts) {
        choices.push_back(
            {std::to_string(s.start.ms),
             time_words(scene.viewer, s.start) +
                 (s.missing.empty() ? ": suits all who gave times" : ": does not suit " + joined(s.missing))});
    }
    out += radio_rows(form.field("proposed", "Times that suit most of them"), choices);
    return out;
}

std::vector<domain::MeetingPlace> places_of(const Scene& scene, const std::vector<std::string>& who) {
    if (who.size() < evening_people_min) return {};
    auto places = evening_places(scene.context(), who);
    return places ? std::move(places).value() : std::vector<domain::MeetingPlace>();
}

std::string places_words(const std::vector<domain::MeetingPlace>& places) {
    constexpr std::size_t shown = 5;
    if (places.empty()) return "As on the radio: 146.550. Somebody's class is not known, so none is proposed.";
    std::string out;
    for (std::size_t i = 0; i < places.size() && i < shown; ++i) {
        out += (i == 0 ? "" : ", ") + domain::megahertz_text(places[i].hz) + " " + places[i].mode;
    }
    return "All of you may use, by the rule book: " + out + ". A guest is under the operator beside them.";
}

Html arrange_part(const Scene& scene, const std::vector<WayView>& ways) {
    const FormOn form(scene, "evening");
    const WallTime now = scene.context().now();
    const std::vector<std::string> who = form.came_back() ? form.all("who") : scene.request.query.all("evening-who");
    Html inside = who_rows(scene, form, ways);
    if (who.size() >= evening_people_min) inside += proposed_rows(scene, form, who);
    inside += time_rows(form, scene.viewer, {(now.ms / hour_ms + 24) * hour_ms}, now);
    const std::vector<domain::MeetingPlace> places = places_of(scene, who);
    const std::string mode = places.empty() ? "FM" : places[0].mode;
    const bool two = places.size() > 1 && places[1].mode == mode;
    inside += text_row(form.required("frequency", "Frequency of the net, MHz",
                                     places.empty() ? "" : domain::megahertz_text(places[0].hz), places_words(places)));
    inside += text_row(form.field("second", "Second frequency, MHz", two ? domain::megahertz_text(places[1].hz) : "",
                                  "Where all go if the first is taken"));
    inside += text_row(form.required("mode", "Mode", mode));
    inside += text_row(form.field("fallback", "If it does not work", "", "How they reach you then; no names"));
    inside += area_row(form.field("words", "What to say first and last", "", "Everybody asked reads it; no names"), 3);
    inside += button("Arrange the evening");
    return form.form(url("/evening"), inside);
}

Result<Response> evening_page(const Scene& scene) {
    TRY(const auto ways, ways_of_others(scene.context()));
    TRY(const auto all, evenings(scene.context()));
    Page content;
    content.title = "An evening on the air";
    if (ways.size() < evening_people_min) {
        content.main = html(
            "<p class=\"empty\">An evening is for two newcomers or more whose paths you share. For one, arrange a "
            "contact on their page under <a href=\"{}\">People</a>.</p>",
            url("/people"));
    } else {
        const bool asked = scene.request.query.has("evening-who") || FormOn(scene, "evening").came_back();
        if (!asked) content.main.add("<section><h2>Times first</h2>{}</section>", times_part(scene, ways));
        content.main.add(
            "<section><h2>Arrange it</h2>{}</section>",
            asked ? arrange_part(scene, ways) : html("<p>Tick who comes, and see which times suit most of them.</p>"));
    }
    const Html arranged = each(all, [&](const EveningView& e) { return evening_part(scene, e); });
    content.main.add("<section><h2>Arranged evenings</h2>{}</section>",
                     arranged.empty() ? html("<p class=\"empty\">No evening is arranged yet.</p>") : arranged);
    content.side = html(
        "<h2>What each of them sees</h2><p>An arranged contact with you, on their own path, and nothing of the others. "
        "Somebody under 18 has a guardian on the path, who sees it too.</p>");
    return show(scene, std::move(content), Live::no);
}

Result<Response> evening_sent(const Scene& scene) {
    const FormOn form(scene, "evening");
    const auto start = start_as_typed(scene, form);
    if (!start) return evening_page(scene.back(refusal_of(start.error(), "clock")));
    EveningRequest request;
    request.who = form.all("who");
    request.start = start.value();
    request.frequency = form.text("frequency");
    request.second_frequency = form.text("second");
    request.mode = form.text("mode");
    request.fallback = form.text("fallback");
    request.words = form.text("words");
    if (request.frequency.empty()) {
        return evening_page(scene.back({400, "Write the frequency of the net in MHz, as 146.550.", "frequency"}));
    }
    const auto done = arrange_evening(scene.context(), request);
    const bool too_few = request.who.size() < evening_people_min;
    if (!done) return evening_page(scene.back(refusal_of(done.error(), too_few ? "who" : "")));
    std::string said = done.value().sentence;
    for (const std::string& remark : done.value().remarks) said += " " + remark;
    return redirect(url("/evening?said={}", scene.say(Told{said})));
}

Result<Response> outcome_sent(const Scene& scene) {
    const auto done = outcome_as_sent(scene, scene.request.form.get("who"));
    if (!done) return evening_page(scene.back(refusal_of(done.error())));
    const bool made = scene.request.form.get("outcome") == "made";
    const std::string said =
        made ? done.value().sentence : "Written down. Set it again on their page, or with another evening.";
    return redirect(url("/evening?said={}", scene.say(Told{said})));
}

}  // namespace

void add_evening_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/evening", evening_page);
    on_post(router, house, "/evening", evening_sent);
    on_post(router, house, "/evening/outcome", outcome_sent);
}

}  // namespace ladderline::node::web
