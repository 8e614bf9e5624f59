#include "node/web/pages/own_side.hpp"

#include <algorithm>

#include "node/commands/confirmed.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/web/pages/contact_parts.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t shown_max = 10;

// What the owner's log says of the viewer's side; `log` compares the two, null where nothing was to compare.
std::string agreement_words(const WayView& way, const OtherLog* log, const ContactView& side) {
    if (side.struck) return "struck out";
    if (log != nullptr) {
        for (const OtherLog::Pair& pair : log->pairs) {
            if (pair.theirs.id != side.id) continue;
            if (!pair.differs) return way.owner.name + "'s log agrees";
            return way.owner.name + "'s log has it, and " + difference_words(*pair.differs);
        }
    }
    return "not in " + way.owner.name + "'s log yet";
}

}  // namespace

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
    inside += another_row(form, scene);
    inside += button("Write my side down");
    return html(
        "<details id=\"d-side\" {}><summary>You talked with {}: write your side down</summary><p class=\"help\">If it "
        "fits what {} wrote, the contact shows as confirmed.</p>{}</details>",
        flag("open", form.came_back()), call_sign(way.call_sign), way.owner.name,
        form.form(url("/people/{}/side", key_of(way.owner.id)), inside));
}

Html own_sides(const Scene& scene, const WayView& way) {
    const protocol::MemberId self = scene.context().me.id();
    const std::vector<OtherLog> logs = other_logs(way);
    const auto log = std::find_if(logs.begin(), logs.end(), [&](const OtherLog& l) { return l.person.id == self; });
    Html lines;
    std::size_t count = 0;
    for (const auto* all : {&way.other_sides, &way.struck}) {
        for (const ContactView& side : *all) {
            if (!is_other_side(way, side.by, side.contact.worked) || side.by != self || ++count > shown_max) continue;
            lines.add("<li><a href=\"{}\">{}</a>, {}: {}</li>",
                      url("/people/{}/contact/{}", key_of(way.owner.id), key_of(side.id)),
                      both_clocks(scene.viewer, side.contact.start), where_words(side.contact),
                      agreement_words(way, log == logs.end() ? nullptr : &*log, side));
        }
    }
    if (count == 0) return {};
    return html("<section><h2>Your side of contacts with {}</h2><ul>{}</ul>{}</section>", way.owner.name, lines,
                count > shown_max ? html("<p class=\"help\">The first {} of {}.</p>", shown_max, count) : Html());
}

Result<ContactRequest> own_side_typed(const Scene& scene, const std::string& who) {
    const FormOn form(scene, "side");
    TRY(const WayView view, way(scene.context(), who));
    ContactRequest out;
    out.who = who;
    out.worked = view.call_sign;
    TRY(out.start, read_time(form, scene.viewer));
    out.frequency = form.text("frequency");
    out.mode = form.text("mode");
    out.sent = form.text("sent");
    out.received = form.text("received");
    out.another = form.text("another") == "yes";
    return out;
}

}  // namespace ladderline::node::web
