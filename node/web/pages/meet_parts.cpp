#include "node/web/pages/meet_parts.hpp"

#include <algorithm>
#include <charconv>

#include "node/domain/radio/path.hpp"

namespace ladderline::node::web {
namespace {

using protocol::MeetOutcome;

constexpr std::size_t proposals = 6;
constexpr std::int64_t hour_ms = 3'600'000;
constexpr std::size_t past_shown = 5;

const PersonView* person_in(const WayView& way, const protocol::MemberId& id) {
    for (const PersonView& p : way.people) {
        if (p.id == id) return &p;
    }
    return nullptr;
}

// The two people of an arranged contact from the viewer's side: "with Ada".
std::string with_words(const Scene& scene, const WayView& way, const MeetingView& meeting) {
    const protocol::MemberId me = scene.context().me.id();
    const protocol::MemberId other = meeting.meeting.other == me ? meeting.by : meeting.meeting.other;
    const PersonView* person = person_in(way, other);
    return "with " + (person != nullptr ? person->name : std::string("somebody who has left"));
}

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

Html outcome_buttons(const Scene& scene, const MeetPlace& place, const MeetingView& meeting) {
    const Url action = place.who.empty() ? url("/meet/outcome") : url("/people/{}/outcome", place.who);
    Html out;
    const auto one = [&](std::string_view words, const char* outcome) {
        out += button_form(scene.request, action, words, {{"meeting", key_of(meeting.id)}, {"outcome", outcome}});
    };
    one("We talked", "made");
    one("Nobody heard", "nobody");
    one("Moved", "moved");
    return html("<div class=\"side-by-side\">{}</div>", out);
}

Html arranged_line(const Scene& scene, const MeetPlace& place, const MeetingView& meeting) {
    const bool past = meeting.meeting.start < scene.context().now();
    return html("<li><p><strong>{}</strong> {}<br>{}</p>{}{}{}</li>", both_clocks(scene.viewer, meeting.meeting.start),
                with_words(scene, place.way, meeting), frequencies(meeting.meeting), details_of(meeting.meeting),
                past ? html("<p>Its time has come. What became of it?</p>") : Html(),
                outcome_buttons(scene, place, meeting));
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

Html proposed_rows(const Scene& scene, const FormOn& form, const WayView& way) {
    const auto times = propose_times(scene.context(), way, proposals);
    if (!times || times.value().empty()) {
        return html(
            "<p class=\"help\">When you and the mentor both have a time zone and weekly times on your <a "
            "href=\"{}\">cards</a>, times that suit both stand here.</p>",
            url("/card"));
    }
    std::vector<Choice> choices{{"", "The day and time written below"}};
    for (const WallTime t : times.value()) choices.push_back({std::to_string(t.ms), time_words(scene.viewer, t)});
    return radio_rows(form.field("proposed", "Times that suit newcomer and mentor"), choices);
}

// How far apart the two squares are, where both are known.
Html distance(const WayView& way, const PersonView& other) {
    if (!way.owner.card || !other.card) return Html();
    const auto a = domain::Locator::parse(way.owner.card->locator);
    const auto b = domain::Locator::parse(other.card->locator);
    if (!a || !b) return Html();
    return html("<p class=\"help\">Between the squares of {} and {}: {}.</p>", person_name(way.owner.name),
                person_name(other.name), domain::to_text(domain::path_between(a.value(), b.value())));
}

Html with_row(const FormOn& form, const WayView& way) {
    std::vector<Choice> choices;
    Html far;
    for (const PersonView& p : way.people) {
        if (p.id == way.owner.id) continue;
        choices.push_back({key_of(p.id), p.name + ", " + seat_words(p.role)});
        far += distance(way, p);
    }
    if (choices.empty()) return Html();
    const auto mentor = std::find_if(way.people.begin(), way.people.end(),
                                     [](const PersonView& p) { return p.role == protocol::MemberRole::mentor; });
    const std::string first = mentor != way.people.end() ? key_of(mentor->id) : choices.front().value;
    Html out = radio_rows(form.required("with", "With whom", first), choices);
    out += far;
    return out;
}

// A round hour, a day from now: somewhere to start from.
WallTime tomorrow(WallTime now) {
    return {(now.ms / hour_ms + 24) * hour_ms};
}

Result<WallTime> start_as_typed(const Scene& scene, const FormOn& form) {
    const std::string proposed = form.text("proposed");
    if (proposed.empty()) return read_time(form, scene.viewer);
    WallTime out;
    const auto read = std::from_chars(proposed.data(), proposed.data() + proposed.size(), out.ms);
    if (read.ptr != proposed.data() + proposed.size() || read.ec != std::errc{}) {
        return Error{Fault::bad_input, "That proposed time cannot be read; choose it again."};
    }
    return out;
}

}  // namespace

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

Html past_meetings(const Scene& scene, const WayView& way) {
    Html lines;
    std::size_t count = 0;
    for (auto m = way.meetings.rbegin(); m != way.meetings.rend() && count < past_shown; ++m) {
        if (!m->outcome) continue;
        ++count;
        lines.add("<li>{} {}: {}</li>", both_clocks(scene.viewer, m->meeting.start), with_words(scene, way, *m),
                  outcome_words(*m->outcome));
    }
    if (lines.empty()) return html("<p class=\"empty\">Nothing was arranged before.</p>");
    return html("<ul>{}</ul>", lines);
}

Html meet_form(const Scene& scene, const MeetPlace& place) {
    const FormOn form(scene, "meet");
    const WallTime now = scene.context().now();
    Html inside;
    if (place.who.empty()) inside += with_row(form, place.way);
    inside += proposed_rows(scene, form, place.way);
    inside += time_rows(form, scene.viewer, tomorrow(now), now);
    inside += text_row(form.required("first", "First frequency, MHz", "", "As on the radio: 146.520"));
    inside +=
        text_row(form.field("second", "Second frequency, MHz", "", "Where both go if the first is silent or taken"));
    inside += text_row(form.required("mode", "Mode", "FM"));
    inside += text_row(form.field("fallback", "If it does not work", "",
                                  "How you reach one another then: a telephone call at a quarter past, say"));
    inside += area_row(form.field("words", "What to say first and last"), 3);
    inside += button("Arrange it");
    return form.form(place.who.empty() ? url("/meet") : url("/people/{}/meet", place.who), inside);
}

MeetAnswer arrange_as_typed(const Scene& scene, const std::string& who) {
    const FormOn form(scene, "meet");
    const auto start = start_as_typed(scene, form);
    if (!start) return {{}, refusal_of(start.error(), "clock")};
    MeetRequest request;
    request.who = who;
    request.with = form.text("with");
    request.start = start.value();
    request.first_frequency = form.text("first");
    request.second_frequency = form.text("second");
    request.mode = form.text("mode");
    request.fallback = form.text("fallback");
    request.words = form.text("words");
    if (request.start < scene.context().now()) {
        return {{}, {400, time_words(scene.viewer, request.start) + " is past; arrange a time to come.", "clock"}};
    }
    if (request.first_frequency.empty()) {
        return {{}, {400, "Write the first frequency in MHz, as 146.520.", "first"}};
    }
    const auto done = meet(scene.context(), request);
    if (!done) return {{}, refusal_of(done.error())};
    return {Done{"Arranged for " + time_words(scene.viewer, request.start) + " on " + request.first_frequency +
                     " MHz " + request.mode + ".",
                 done.value().id},
            {}};
}

Result<Done> outcome_as_sent(const Scene& scene, const std::string& who) {
    const std::string word = scene.request.form.get("outcome");
    MeetOutcomeRequest request{who, scene.request.form.get("meeting"), MeetOutcome::made};
    if (word == "nobody") {
        request.outcome = MeetOutcome::nobody_heard;
    } else if (word == "moved") {
        request.outcome = MeetOutcome::moved;
    } else if (word != "made") {
        return Error{Fault::bad_input, "Say what became of it: we talked, nobody heard, or moved."};
    }
    TRY(const Done done, meet_outcome(scene.context(), request));
    switch (request.outcome) {
        case MeetOutcome::made:
            return Done{"Well done, both of you.", done.id};
        case MeetOutcome::nobody_heard:
            return Done{"Nobody heard: that happens, and it is nobody's fault. Set it again below.", done.id};
        case MeetOutcome::moved:
            break;
    }
    return Done{"Moved. Arrange the new time below.", done.id};
}

}  // namespace ladderline::node::web
