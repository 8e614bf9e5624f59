// Arranging a contact: what is known beforehand, the form, and reading it.

#include <algorithm>
#include <charconv>

#include "node/commands/meeting_advice.hpp"
#include "node/domain/rules/rule_table.hpp"
#include "node/web/pages/meet_parts.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t proposals = 6;
constexpr std::size_t frequencies_shown = 8;
constexpr std::int64_t hour_ms = 3'600'000;

// Whom the advice is about: on the own path the mentor, else anybody there; on somebody else's whoever looks.
const PersonView* far_end(const Scene& scene, const MeetPlace& place) {
    if (!place.who.empty()) return person_on(place.way, scene.context().me.id());
    if (const PersonView* mentor = mentor_on(place.way)) return mentor;
    for (const PersonView& p : place.way.people) {
        if (p.id != place.way.owner.id) return &p;
    }
    return nullptr;
}

std::optional<MeetingView> asked_again(const Scene& scene, const MeetPlace& place) {
    const std::string id = scene.request.query.get("again");
    if (id.empty()) return {};
    const auto found = find_meeting(place.way, id);
    return found ? std::optional(found.value()) : std::nullopt;
}

// What stands in the form at first: the earlier one that is set again, or the first two places that both may use.
MeetRequest start_of_form(const Scene& scene, const MeetPlace& place) {
    if (const auto earlier = asked_again(scene, place)) {
        return again(scene.context(), place.way, *earlier, place.who);
    }
    MeetRequest out;
    const PersonView* other = far_end(scene, place);
    if (other == nullptr) return out;
    for (const domain::JudgedPlace& judged : frequencies_for(place.way, *other)) {
        if (judged.both.verdict != domain::Verdict::yes) break;
        if (out.first_frequency.empty()) {
            out.mode = judged.place.mode;
            out.first_frequency = domain::megahertz_text(judged.place.hz);
        } else if (out.second_frequency.empty() && judged.place.mode == out.mode) {
            out.second_frequency = domain::megahertz_text(judged.place.hz);
        }
    }
    return out;
}

std::string start_words(const WayView& way, const PersonView& other, const domain::ProposedStart& start) {
    std::string out = domain::to_text(start.for_a) + " for " + way.owner.name + ", " + domain::to_text(start.for_b) +
                      " for " + other.name + " (" + to_iso_minute(start.start) + ")";
    if (start.is_after_change) out += "; clocks were changed in the week before, look twice";
    return out;
}

Html proposed_rows(const Scene& scene, const FormOn& form, const WayView& way, const PersonView* other) {
    std::vector<Choice> choices{{"", "The day and time written below"}};
    if (other != nullptr) {
        if (const auto starts = propose_starts_for(scene.context(), way, *other, proposals)) {
            for (const domain::ProposedStart& start : starts.value()) {
                choices.push_back({std::to_string(start.start.ms), start_words(way, *other, start)});
            }
        }
    }
    if (choices.size() == 1) {
        return html(
            "<p class=\"help\">When both have a time zone and weekly times on their <a "
            "href=\"{}\">cards</a>, times that suit both stand here.</p>",
            url("/card"));
    }
    return radio_rows(form.field("proposed", "Times that suit " + way.owner.name + " and " + other->name), choices);
}

Html with_row(const FormOn& form, const WayView& way, const std::string& chosen) {
    std::vector<Choice> choices;
    for (const PersonView& p : way.people) {
        if (p.id != way.owner.id) choices.push_back({key_of(p.id), p.name + ", " + seat_words(p.role)});
    }
    if (choices.empty()) return Html();
    const PersonView* mentor = mentor_on(way);
    std::string first = mentor != nullptr ? key_of(mentor->id) : choices.front().value;
    if (!chosen.empty()) first = chosen;
    return radio_rows(form.required("with", "With whom", first), choices);
}

// A round hour, a day from now: somewhere to start from.
WallTime tomorrow(WallTime now) {
    return {(now.ms / hour_ms + 24) * hour_ms};
}

std::string place_words(const domain::JudgedPlace& judged) {
    std::string out = judged.place.note;
    for (const domain::PowerLimit& limit : judged.both.limits) out += " (at most " + domain::power_words(limit) + ")";
    return out;
}

Html frequency_part(const WayView& way, const PersonView& other) {
    Html known;
    std::size_t count = 0;
    bool any_not_known = false;
    for (const domain::JudgedPlace& judged : frequencies_for(way, other)) {
        if (judged.both.verdict != domain::Verdict::yes) {
            any_not_known = true;
        } else if (count++ < frequencies_shown) {
            known.add("<li><span class=\"call\">{}</span> MHz {}: {}</li>", domain::megahertz_text(judged.place.hz),
                      judged.place.mode, place_words(judged));
        }
    }
    Html out;
    if (!known.empty()) {
        out.add("<p>Both may use these by the rule book; look for one that is free:</p><ul>{}</ul>", known);
    }
    const MeetingEnds ends = ends_of(way, other);
    if (any_not_known) {
        for (const domain::RadioEnd* end : {&ends.one, &ends.other}) {
            if (!end->licence_class.empty() || end->is_guest) continue;
            out.add(
                "<p>The class of {} is not known here, so no frequency can be proposed. It stands on their <a "
                "href=\"{}\">card</a>.</p>",
                person_name(end->name), url("/card"));
        }
    }
    for (const std::string& sentence : domain::guest_words(own_rule_book(), ends.one, ends.other)) {
        out.add("<p>{}</p>", sentence);
    }
    return out;
}

struct ChanceRow {
    const char* name;
    const char* label;
};
constexpr ChanceRow chance_rows[] = {{"chance_mhz", "Frequency, MHz"},
                                     {"chance_from", "The newcomer's locator, six characters"},
                                     {"chance_to", "The other's locator, six characters"},
                                     {"chance_height", "Height of the newcomer's antenna, metres"},
                                     {"chance_other_height", "Height of the other's antenna, metres"},
                                     {"chance_watt", "Power of the weaker station, watts"}};

Result<std::optional<double>> number_asked(const Scene& scene, const ChanceRow& row) {
    const std::string typed = scene.request.query.text(row.name);
    if (typed.empty()) return std::optional<double>();
    const auto value = domain::positive_number(typed);
    if (value) return std::optional<double>(*value);
    return Error{Fault::bad_input, std::string(row.label) + ": write a number above 0, as 10."};
}

Result<domain::Chance> chance_asked(const Scene& scene, const MeetPlace& place, const PersonView& other,
                                    const std::string& mhz) {
    ChanceRequest request;
    const std::string typed = scene.request.query.text("chance_mhz");
    request.mhz = !typed.empty() ? typed : mhz;
    request.start = tomorrow(scene.context().now());
    const auto starts = propose_times(scene.context(), place.way, other, 1);
    if (starts && !starts.value().empty()) request.start = starts.value().front();
    request.one_locator = scene.request.query.text("chance_from");
    request.other_locator = scene.request.query.text("chance_to");
    TRY(request.one_height_m, number_asked(scene, chance_rows[3]));
    TRY(request.other_height_m, number_asked(scene, chance_rows[4]));
    TRY(request.power_w, number_asked(scene, chance_rows[5]));
    return chance_for(place.way, other, with_own_station(scene.context(), place.way, request));
}

Html chance_part(const Scene& scene, const MeetPlace& place, const PersonView& other, const std::string& mhz) {
    const std::string shown = mhz.empty() ? "146.55" : mhz;
    const auto chance = chance_asked(scene, place, other, shown);
    Html out;
    if (chance) {
        out.add("<ul>{}</ul>",
                each(chance.value().sentences, [](const std::string& s) { return html("<li>{}</li>", s); }));
    } else {
        out += notice(Tone::problem, "Please look", chance.error().sentence());
    }
    Html inside;
    for (const ChanceRow& row : chance_rows) {
        Field field{row.name, row.label, scene.request.query.text(row.name)};
        if (row.name == chance_rows[0].name && field.value.empty()) field.value = shown;
        inside += text_row(field);
    }
    inside += button("Look again");
    const bool asked = scene.request.query.has("chance_mhz");
    out.add("<details id=\"d-chance\" {}><summary>With other figures</summary>{}</details>", flag("open", asked),
            get_form(place.who.empty() ? url("/meet") : url("/people/{}", place.who), inside));
    return out;
}

}  // namespace

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

bool wants_meet_form(const Scene& scene) {
    return FormOn(scene, "meet").came_back() || scene.request.query.has("again") ||
           scene.request.query.has("chance_mhz");
}

Html meet_advice(const Scene& scene, const MeetPlace& place) {
    Html out;
    const std::string guardian = guardian_words(place.way);
    if (!guardian.empty()) {
        out += notice(Tone::plain, "A guardian is there", guardian);
    } else if (place.way.owner.is_minor) {
        out +=
            notice(Tone::caution, "A guardian comes first",
                   place.way.owner.name + " is under 18: nothing can be arranged before a guardian is on this path.");
    }
    const PersonView* other = far_end(scene, place);
    if (other == nullptr) return out;
    const std::string mhz = start_of_form(scene, place).first_frequency;
    out.add("<h3>Frequencies</h3>{}<h3>Can it work?</h3>{}", frequency_part(place.way, *other),
            chance_part(scene, place, *other, mhz));
    return out;
}

Html meet_form(const Scene& scene, const MeetPlace& place) {
    const FormOn form(scene, "meet");
    const WallTime now = scene.context().now();
    const MeetRequest start = start_of_form(scene, place);
    Html inside;
    if (const auto earlier = asked_again(scene, place)) {
        inside.add("<p>As on {}, at a new time.</p>", both_clocks(scene.viewer, earlier->meeting.start));
    }
    if (place.who.empty()) inside += with_row(form, place.way, start.with);
    inside += proposed_rows(scene, form, place.way, far_end(scene, place));
    inside += time_rows(form, scene.viewer, tomorrow(now), now);
    inside +=
        text_row(form.required("first", "First frequency, MHz", start.first_frequency, "As on the radio: 146.520"));
    inside += text_row(form.field("second", "Second frequency, MHz", start.second_frequency,
                                  "Where both go if the first is silent or taken"));
    inside += text_row(form.required("mode", "Mode", start.mode));
    inside += text_row(form.field("fallback", "If it does not work", start.fallback,
                                  "How you reach one another then: a telephone call at a quarter past, say"));
    inside += area_row(form.field("words", "What to say first and last", start.words,
                                  "The card to print has the usual words; write what is yours"),
                       3);
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
    const auto arranged = arrange(scene.context(), request);
    if (!arranged) return {{}, refusal_of(arranged.error())};
    return {Done{"Arranged for " + time_words(scene.viewer, request.start) + " on " + request.first_frequency +
                     " MHz " + request.mode + "." + arranged.value().advice,
                 arranged.value().id},
            {}};
}

}  // namespace ladderline::node::web
