// Contacts of the own path: the list, and the form to write one down.

#include <algorithm>

#include "node/commands/confirmed.hpp"
#include "node/commands/contacts.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {
namespace {

using protocol::ContactBody;

// What the form starts with: now, or an arranged contact that was made.
struct Start {
    WallTime start;
    std::string worked;
    std::string frequency;
    std::string mode = "FM";
};

Start start_of_form(const Scene& scene, const WayView& way) {
    Start out;
    out.start = scene.context().now();
    const std::string wanted = scene.request.query.get("meeting");
    for (const MeetingView& m : way.meetings) {
        if (wanted.empty() || key_of(m.id) != wanted) continue;
        out.start = m.meeting.start;
        out.frequency = m.meeting.first_frequency;
        out.mode = m.meeting.mode;
        const protocol::MemberId other = m.meeting.other == way.owner.id ? m.by : m.meeting.other;
        for (const PersonView& p : way.people) {
            if (p.id == other && p.card) out.worked = p.card->call_sign;
        }
    }
    return out;
}

std::vector<Choice> modes(const std::string& present) {
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

Html contact_form(const Scene& scene, const WayView& way) {
    const FormOn form(scene, "contact");
    const Start start = start_of_form(scene, way);
    const WallTime now = scene.context().now();
    const bool licensed = !way.call_sign.empty();
    Html inside = call_row(form.required("worked", "Call sign of the other station", start.worked));
    inside += time_rows(form, scene.viewer, start.start, now);
    inside += text_row(form.field("frequency", "Frequency, MHz", start.frequency, "Or choose the band below."));
    std::vector<Choice> bands{{"", "From the frequency"}};
    for (const char* band : {"160m", "80m", "60m", "40m", "30m", "20m", "17m", "15m", "12m", "10m", "6m", "2m", "1.25m",
                             "70cm", "33cm", "23cm"}) {
        bands.push_back({band, band});
    }
    inside += list_row(form.field("band", "Band"), bands);
    const std::string mode = form.value("mode", start.mode);
    inside += list_row(form.required("mode", "Mode", start.mode), modes(mode));
    inside += text_row(form.field("sent", "Report you gave", "", "Readability and strength, 59; plain words will do"));
    inside += text_row(form.field("received", "Report you were given"));
    inside += call_row(form.field("guest_of", "As a guest: call sign of the licensed operator in control", "",
                                  licensed ? "Leave it empty if you sent under your own call sign."
                                           : "Until your own call sign stands in the public register you speak as "
                                             "somebody's guest."));
    inside += call_row(form.field("locator", "Their locator, if you know it"));
    inside += text_row(form.field("comment", "A word to remember it by"));
    inside += button("Write it down");
    return form.form(url("/contact"), inside);
}

std::string other_side_words(const std::vector<OtherLog>& others, const ContactView& view) {
    const std::string by = confirmed_by(others, view.id);
    if (!by.empty()) return by + "'s log agrees";
    for (const OtherLog& log : others) {
        for (const OtherLog::Pair& pair : log.pairs) {
            if (pair.own.id == view.id && pair.differs) return log.person.name + ": " + difference_words(*pair.differs);
        }
    }
    return "not yet";
}

// What the comparison shows beside the single contacts.
Html other_logs_part(const Scene& scene, const WayView& way) {
    Html out;
    for (const OtherLog& log : other_logs(way)) {
        const std::string clocks = clock_words(log);
        if (!clocks.empty()) out.add("<p>{}</p>", clocks);
        for (const ContactView& view : log.only_theirs) {
            out.add("<p>Only in {}'s log: {}, {}</p>", log.person.name, both_clocks(scene.viewer, view.contact.start),
                    (view.contact.frequency.empty() ? view.contact.band : view.contact.frequency + " MHz") + " " +
                        view.contact.mode);
        }
    }
    return out;
}

Html contact_table(const Scene& scene, const WayView& way) {
    Table out;
    out.caption = "Contacts, newest first";
    out.columns = {"Station", "When", "Frequency and mode", "Reports", "Under", "Other side"};
    const auto others = other_logs(way);
    out.empty_sentence =
        "No contact is written down yet. The first one may be as a guest at your mentor's station, before any exam.";
    for (const ContactView& view : way.contacts) {
        const ContactBody& c = view.contact;
        const std::string under = c.operated_by.empty() ? c.station : "guest of " + c.operated_by;
        Html note = call_sign(c.worked);
        if (!c.comment.empty()) note.add(" <span class=\"whom\">{}</span>", c.comment);
        out.rows.push_back(
            {note, both_clocks(scene.viewer, c.start),
             text((c.frequency.empty() ? c.band : c.frequency + " MHz") + " " + c.mode),
             text(c.sent.empty() && c.received.empty() ? "none"
                                                       : "gave " + (c.sent.empty() ? "none" : c.sent) + ", got " +
                                                             (c.received.empty() ? "none" : c.received)),
             text(under), text(other_side_words(others, view))});
    }
    return table(out);
}

Result<Response> contact_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), ""));
    Page content;
    content.title = "Contacts";
    content.main = html("<section><h2>Write a contact down</h2>{}</section><section>{}{}</section>",
                        contact_form(scene, view), contact_table(scene, view), other_logs_part(scene, view));
    content.side = html(
        "<h2>Who reads this</h2><p>Everyone on your path sees the contacts that you write down here. The club sees the "
        "date of the last one, and never with whom.</p>");
    content.as_of = as_of_words(scene.viewer, view.as_of);
    return show(scene, std::move(content));
}

Result<Response> contact_sent(const Scene& scene) {
    const FormOn form(scene, "contact");
    const auto start = read_time(form, scene.viewer);
    if (!start) return contact_page(scene.back(refusal_of(start.error(), "clock")));
    ContactRequest request;
    request.worked = form.text("worked");
    request.start = start.value();
    request.frequency = form.text("frequency");
    request.band = form.text("band");
    request.mode = form.text("mode");
    request.sent = form.text("sent");
    request.received = form.text("received");
    request.guest_of = form.text("guest_of");
    request.locator = form.text("locator");
    request.comment = form.text("comment");
    if (request.worked.empty()) {
        return contact_page(scene.back({400, "Write the call sign of the other station.", "worked"}));
    }
    if (request.frequency.empty() && request.band.empty()) {
        return contact_page(scene.back({400, "Write the frequency in MHz, or choose the band.", "frequency"}));
    }
    const auto done = log_contact(scene.context(), request);
    if (!done) return contact_page(scene.back(refusal_of(done.error())));
    return redirect(url("/contact?said={}", scene.say(Told{"Written down: " + request.worked + ", " +
                                                           time_words(scene.viewer, request.start) + "."})));
}

}  // namespace

void add_contact_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/contact", contact_page);
    on_post(router, house, "/contact", contact_sent);
}

}  // namespace ladderline::node::web
