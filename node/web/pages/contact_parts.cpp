#include "node/web/pages/contact_parts.hpp"

#include <algorithm>

namespace ladderline::node::web {

std::vector<Choice> contact_modes(const std::string& present) {
    std::vector<Choice> out{{"FM", "FM, voice through a repeater or nearby"},
                            {"SSB", "Single sideband, voice on shortwave"},
                            {"AM", "AM, voice"},
                            {"CW", "Morse"},
                            {"FT8", "FT8, data"},
                            {"PSK", "Phase-shift keying, data"},
                            {"RTTY", "Radioteletype, data"},
                            {"DIGITALVOICE", "Digital voice"}};
    const bool known = std::any_of(out.begin(), out.end(), [&](const Choice& c) { return c.value == present; });
    if (!known && !present.empty()) out.push_back({present, present});
    return out;
}

Html own_side_form(const Scene& scene, const WayView& way) {
    if (way.call_sign.empty()) return {};
    const FormOn form(scene, "side");
    const WallTime now = scene.context().now();
    WallTime start = now;
    std::string frequency;
    std::string mode = "FM";
    for (const MeetingView& m : way.meetings) {
        if (m.meeting.start > now) continue;
        start = m.meeting.start;
        frequency = m.meeting.first_frequency;
        mode = m.meeting.mode;
    }
    Html inside = time_rows(form, scene.viewer, start, now);
    inside += text_row(form.required("frequency", "Frequency, MHz", frequency));
    inside += list_row(form.required("mode", "Mode", mode), contact_modes(form.value("mode", mode)));
    inside += text_row(form.field("sent", "Report you gave"));
    inside += text_row(form.field("received", "Report you were given"));
    inside += button("Write my side down");
    return html(
        "<details id=\"d-side\" {}><summary>You talked with {}: write your side down</summary><p class=\"help\">If it "
        "fits what {} wrote, the contact shows as confirmed.</p>{}</details>",
        flag("open", form.came_back()), call_sign(way.call_sign), way.owner.name,
        form.form(url("/people/{}/side", key_of(way.owner.id)), inside));
}

Result<Done> own_side_as_sent(const Scene& scene, const std::string& who) {
    const FormOn form(scene, "side");
    TRY(const WayView view, way(scene.context(), who));
    ContactRequest request;
    request.who = who;
    request.worked = view.call_sign;
    TRY(request.start, read_time(form, scene.viewer));
    request.frequency = form.text("frequency");
    request.mode = form.text("mode");
    request.sent = form.text("sent");
    request.received = form.text("received");
    return log_contact(scene.context(), request);
}

}  // namespace ladderline::node::web
