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

std::vector<Choice> contact_bands() {
    std::vector<Choice> out{{"", "From the frequency"}};
    for (const char* band : {"160m", "80m", "60m", "40m", "30m", "20m", "17m", "15m", "12m", "10m", "6m", "2m", "1.25m",
                             "70cm", "33cm", "23cm"}) {
        out.push_back({band, band});
    }
    return out;
}

std::vector<Choice> contact_ways_through() {
    return {{"", "I do not say"}, {"direct", "Directly, from radio to radio"}, {"repeater", "Through a repeater"}};
}

Html another_row(const FormOn& form, const Scene& scene) {
    if (!form.came_back() || scene.refusal->field != "another") return {};
    return check_row(form.field("another", "This was another contact: write it down as well"));
}

Html contact_rows(const FormOn& form, const Scene& scene, const ContactRequest& start, bool licensed) {
    Html out = call_row(form.required("worked", "Call sign of the other station", start.worked));
    out += time_rows(form, scene.viewer, start.start, scene.context().now());
    out += text_row(form.field("frequency", "Frequency, MHz", start.frequency, "Or choose the band below."));
    out += list_row(form.field("band", "Band", start.frequency.empty() ? start.band : ""), contact_bands());
    const std::string mode = form.value("mode", start.mode);
    out += list_row(form.required("mode", "Mode", start.mode), contact_modes(mode));
    out += text_row(
        form.field("sent", "Report you gave", start.sent, "Readability and strength, 59; plain words will do"));
    out += text_row(form.field("received", "Report you were given", start.received));
    out += call_row(form.field("guest_of", "As a guest: call sign of the licensed operator in control", start.guest_of,
                               licensed ? "Leave it empty if you sent under your own call sign."
                                        : "Until your own call sign stands in the public register you speak as "
                                          "somebody's guest."));
    out += call_row(form.field("locator", "Their locator, if you know it", start.locator));
    out += text_row(form.field("comment", "A word to remember it by", start.comment,
                               "The words direct, repeater and portable tell your log how you talked."));
    out += another_row(form, scene);
    return out;
}

Result<ContactRequest> contact_typed(const FormOn& form, const Viewer& viewer) {
    ContactRequest out;
    TRY(out.start, read_time(form, viewer));
    out.worked = form.text("worked");
    out.frequency = form.text("frequency");
    out.band = form.text("band");
    out.mode = form.text("mode");
    out.sent = form.text("sent");
    out.received = form.text("received");
    out.guest_of = form.text("guest_of");
    out.locator = form.text("locator");
    out.comment = form.text("comment");
    out.another = form.text("another") == "yes";
    return out;
}

Refusal refusal_of_contact(const Scene& scene, const ContactRequest& request, const Error& error) {
    if (request.worked.empty()) return {400, "Write the call sign of the other station.", "worked"};
    if (request.frequency.empty() && request.band.empty()) {
        return {400, "Write the frequency in MHz, or choose the band.", "frequency"};
    }
    const auto same = same_in_log(scene.context(), request);
    if (error.fault() != Fault::refused || !same || !same.value()) return refusal_of(error);
    return {409,
            "A contact with " + request.worked + " on that band and in that mode is in the log already, at " +
                time_words(scene.viewer, *same.value()) +
                ". If this was another one, tick the box above the button and send it again.",
            "another"};
}

Html now_clocks(const Scene& scene) {
    const WallTime now = scene.context().now();
    const std::string iso = to_iso_second(now);
    Html out = html("<time data-now=\"UTC\" datetime=\"{}\">{}</time> UTC", iso, iso.substr(11, 5));
    if (scene.viewer.zone) {
        const std::string local = domain::to_text(scene.viewer.zone->clock_at(now));  // Tue 2026-03-10 18:00 EDT
        const std::size_t clock = local.find(':') - 2;
        out.add(", <time data-now=\"{}\" datetime=\"{}\">{}</time> by your own clock", scene.viewer.zone->name(), iso,
                local.substr(clock, 5));
    }
    return html("<p class=\"now\">It is {}<span data-now-made=\"yes\"> (when this page was made)</span>.</p>", out);
}

}  // namespace ladderline::node::web
