#include "node/web/pages/meet_parts.hpp"

#include "node/commands/meeting_ends.hpp"
#include "node/commands/path_pause.hpp"

namespace ladderline::node::web {
namespace {

using protocol::MeetOutcome;

constexpr std::size_t past_shown = 5;

Html frequencies(const protocol::MeetBody& meeting) {
    Html out = html("<span class=\"call\">{}</span> MHz {}", meeting.first_frequency, meeting.mode);
    if (!meeting.second_frequency.empty()) {
        out.add("; if nothing is heard, <span class=\"call\">{}</span> MHz", meeting.second_frequency);
    }
    return out;
}

Html details_of(const protocol::MeetBody& meeting) {
    Html out;
    if (!meeting.fallback.empty())
        out.add("<p>If it does not work: <span class=\"typed\">{}</span></p>", meeting.fallback);
    if (!meeting.words.empty()) out.add("<p>What to say: <span class=\"typed\">{}</span></p>", meeting.words);
    return out;
}

Html take_along(const MeetPlace& place, const MeetingView& meeting) {
    const std::string id = key_of(meeting.id);
    const Url card = place.who.empty() ? url("/meet/{}/card", id) : url("/people/{}/meet/{}/card", place.who, id);
    const Url file =
        place.who.empty() ? url("/meet/{}/calendar", id) : url("/people/{}/meet/{}/calendar", place.who, id);
    return html(
        "<p class=\"side-by-side\"><a class=\"again\" href=\"{}\">Card to print</a> <a class=\"again\" "
        "href=\"{}\">For your calendar</a></p>",
        card, file);
}

Html called_off(const Scene& scene, const WayView& way, const MeetingView& meeting) {
    if (!is_called_off(way, meeting, scene.context().today())) return Html();
    return html("<p>{}</p>", state_mark(Mark::held, "Does not take place for now; the reason stands above"));
}

Html arranged_line(const Scene& scene, const MeetPlace& place, const MeetingView& meeting) {
    const bool past = has_begun(meeting.meeting.start, scene.context().now());
    const Url action = place.who.empty() ? url("/meet/outcome") : url("/people/{}/outcome", place.who);
    return html("<li><p><strong>{}</strong> {}<br>{}</p>{}{}{}{}{}</li>",
                both_clocks(scene.viewer, meeting.meeting.start), ends_words(scene.context(), place.way, meeting),
                frequencies(meeting.meeting), called_off(scene, place.way, meeting), details_of(meeting.meeting),
                take_along(place, meeting), past ? html("<p>Its time has come. What became of it?</p>") : Html(),
                outcome_buttons(scene, action, {{"meeting", key_of(meeting.id)}}, meeting,
                                to_iso_minute(meeting.meeting.start)));
}

std::string outcome_words(MeetOutcome outcome) {
    switch (outcome) {
        case MeetOutcome::made:
            return "made";
        case MeetOutcome::nobody_heard:
            return "nobody heard, which is nobody's fault";
        case MeetOutcome::moved:
            return "moved";
    }
    return "";
}

}  // namespace

Html outcome_buttons(const Scene& scene, const Url& action, const std::vector<Hidden>& values,
                     const MeetingView& meeting, std::string_view about) {
    Html out;
    const auto one = [&](std::string_view words, const char* outcome) {
        std::vector<Hidden> all = values;
        all.push_back({"outcome", outcome});
        out += button_form(scene.request, action, words, all, about);
    };
    if (has_begun(meeting.meeting.start, scene.context().now())) {
        one("We talked", "made");
        one("Nobody heard", "nobody");
    }
    one("Moved", "moved");
    return html("<div class=\"side-by-side\">{}</div>", out);
}

Html arranged_list(const Scene& scene, const MeetPlace& place) {
    const Html lines = each(place.way.meetings,
                            [&](const MeetingView& m) { return m.outcome ? Html() : arranged_line(scene, place, m); });
    if (lines.empty()) {
        return html(
            "<p class=\"empty\">No contact is arranged. A first contact goes best with a named person, a time "
            "and two frequencies.</p>");
    }
    return html("<ul class=\"arranged\">{}</ul>", lines);
}

Html past_meetings(const Scene& scene, const MeetPlace& place) {
    Html lines;
    std::size_t count = 0;
    const auto& all = place.way.meetings;
    for (auto m = all.rbegin(); m != all.rend() && count < past_shown; ++m) {
        if (!m->outcome) continue;
        ++count;
        const std::string id = key_of(m->id);
        const Url again = place.who.empty() ? url("/meet?again={}", id) : url("/people/{}?again={}", place.who, id);
        lines.add("<li>{} {}: {} <a class=\"again\" href=\"{}\">Again<span class=\"unseen\">, as on {}</span></a></li>",
                  both_clocks(scene.viewer, m->meeting.start), ends_words(scene.context(), place.way, *m),
                  outcome_words(*m->outcome), again, to_iso_minute(m->meeting.start));
    }
    if (lines.empty()) return html("<p class=\"empty\">Nothing was arranged before.</p>");
    return html("<ul>{}</ul>", lines);
}

Url again_address(const std::string& who, const protocol::EventId& meeting, std::uint64_t said) {
    const std::string id = key_of(meeting);
    return who.empty() ? url("/meet?again={}&said={}", id, said) : url("/people/{}?again={}&said={}", who, id, said);
}

Result<OutcomeSaid> outcome_as_sent(const Scene& scene, const std::string& who) {
    const std::string word = scene.request.form.get("outcome");
    MeetOutcomeRequest request{who, scene.request.form.get("meeting"), MeetOutcome::made};
    if (word == "nobody") {
        request.outcome = MeetOutcome::nobody_heard;
    } else if (word == "moved") {
        request.outcome = MeetOutcome::moved;
    } else if (word != "made") {
        return Error{Fault::bad_input, "Say what became of it: we talked, nobody heard, or moved."};
    }
    TRY(const WayView view, way(scene.context(), who));
    TRY(const MeetingView meeting, find_meeting(view, request.meeting));
    TRY(const Done done, meet_outcome(scene.context(), request));
    OutcomeSaid out{{"Well done, both of you.", done.id}, meeting.id};
    if (request.outcome == MeetOutcome::nobody_heard) {
        out.sentence = "Nobody heard: that happens, and it is nobody's fault. Set it again below.";
    }
    if (request.outcome == MeetOutcome::moved) out.sentence = "Moved. Arrange the new time below.";
    return out;
}

}  // namespace ladderline::node::web
