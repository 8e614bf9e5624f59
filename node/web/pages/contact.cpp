// Contacts of the own path: the list, what it shows of the way, and the form to write one down.

#include <algorithm>

#include "node/commands/confirmed.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/commands/contact_lines.hpp"
#include "node/commands/milestones.hpp"
#include "node/domain/rules/continents.hpp"
#include "node/web/pages/contact_parts.hpp"

namespace ladderline::node::web {
namespace {

using protocol::ContactBody;

constexpr std::size_t rows_max = 200;  // of a list; the rest is in the files

// What the form starts with: now and as the last time, or an arranged contact that was made.
ContactRequest start_of_form(const Scene& scene, const WayView& way) {
    ContactRequest out = usual_contact(scene.context(), way);
    if (out.mode.empty()) out.mode = "FM";
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

Html contact_form(const Scene& scene, const WayView& way) {
    const FormOn form(scene, "contact");
    Html inside = contact_rows(form, scene, start_of_form(scene, way), !way.call_sign.empty());
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
Html other_logs_part(const Scene& scene, const std::vector<OtherLog>& others) {
    Html out;
    for (const OtherLog& log : others) {
        const std::string clocks = clock_words(log);
        if (!clocks.empty()) out.add("<p>{}</p>", clocks);
        for (const ContactView& view : log.only_theirs) {
            out.add("<p>Only in {}'s log: {}, {}</p>", log.person.name, both_clocks(scene.viewer, view.contact.start),
                    where_words(view.contact));
        }
    }
    return out;
}

std::string report_words(const ContactBody& c) {
    if (c.sent.empty() && c.received.empty()) return "none";
    return "gave " + (c.sent.empty() ? "none" : c.sent) + ", got " + (c.received.empty() ? "none" : c.received);
}

Html contact_table(const Scene& scene, const WayView& way, const std::vector<OtherLog>& others) {
    Table out;
    out.caption = "Contacts, newest first";
    out.columns = {"Station", "When", "Frequency and mode", "Reports", "Under", "Other side"};
    out.empty_sentence =
        "No contact is written down yet. The first one may be as a guest at your mentor's station, before any exam.";
    for (const ContactView& view : way.contacts) {
        if (out.rows.size() == rows_max) break;
        const ContactBody& c = view.contact;
        Html note = html("<a href=\"{}\">{}</a>", url("/contact/{}", key_of(view.id)), call_sign(c.worked));
        note.add(" <span class=\"whom\">{}</span>", domain::country_of_call(c.worked).value_or("country not known"));
        if (!c.comment.empty()) note.add(" <span class=\"whom\">{}</span>", c.comment);
        if (!view.history.empty()) note.add(" <span class=\"whom\">(changed)</span>");
        out.rows.push_back({note, both_clocks(scene.viewer, c.start), text(where_words(c)), text(report_words(c)),
                            text(c.operated_by.empty() ? c.station : "guest of " + c.operated_by),
                            text(other_side_words(others, view))});
    }
    Html all = table(out);
    if (way.contacts.size() > rows_max) {
        all.add("<p>These are the newest {} of {}; all of them are in the files below.</p>", rows_max,
                way.contacts.size());
    }
    return all;
}

Html struck_part(const Scene& scene, const WayView& way) {
    Html items;
    for (const ContactView& view : way.struck) {
        items.add("<li><a href=\"{}\">{}</a>, {}</li>", url("/contact/{}", key_of(view.id)),
                  call_sign(view.contact.worked), both_clocks(scene.viewer, view.contact.start));
    }
    if (items.empty()) return {};
    return html("<details id=\"d-struck\"><summary>Struck out: {}</summary><ul class=\"links\">{}</ul></details>",
                way.struck.size(), items);
}

Html milestone_action(const Scene& scene, const Milestone& one) {
    if (one.item == nullptr) return text("not on the ladder");
    const std::string item = domain::to_text(one.item->id);
    const Html link = html("<a href=\"{}\">{}</a>", url("/way/{}", item), item);
    if (!one.can_be_ticked) return html("{} {}", link, domain::to_word(one.phase));
    return html("{} {}", link, button_form(scene.request, url("/contact/milestone"), "Tick " + item, {{"item", item}}));
}

Html milestone_part(const Scene& scene, const WayView& way) {
    Table out;
    out.caption = "What your log shows of your way";
    out.columns = {"What", "Contact", "How it is known", "On your way"};
    for (const Milestone& one : milestones(scene.context(), way)) {
        std::string known = one.known_by.empty() ? "it is in the log" : one.known_by;
        if (!one.only_you.empty()) known += "; only you know " + one.only_you;
        out.rows.push_back({text(one.words),
                            html("{}, {}", call_sign(one.contact.contact.worked),
                                 both_clocks(scene.viewer, one.contact.contact.start)),
                            text(known), milestone_action(scene, one)});
    }
    if (out.rows.empty()) return {};
    return html(
        "<section>{}<p class=\"help\">A tick is your word and stays, whatever becomes of the log.</p></section>",
        table(out));
}

Html ways_to_write() {
    return html(
        "<p class=\"on-screen\"><a href=\"{}\">One line, while you talk</a> &middot; <a href=\"{}\">Many at once: a "
        "net, "
        "a sheet of paper</a> &middot; <a href=\"{}\">A file of another program</a> &middot; <a href=\"{}\">Blank log "
        "sheet to print</a></p>",
        url("/contact/quick"), url("/contact/net"), url("/contact/file"), url("/contact/sheet"));
}

Result<Response> contact_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), ""));
    const auto others = other_logs(view);
    Page content;
    content.title = "Contacts";
    content.main = html("<section><h2>Write a contact down</h2>{}{}</section><section>{}{}{}</section>",
                        ways_to_write(), contact_form(scene, view), contact_table(scene, view, others),
                        other_logs_part(scene, others), struck_part(scene, view));
    content.main += milestone_part(scene, view);
    content.side = html(
        "<h2>Who reads this</h2><p>Everyone on your path sees the contacts that you write down here. The club sees the "
        "date of the last one, and never with whom.</p><h2>Take it along</h2><p><a href=\"{}\">The log as a file for "
        "other programs (ADI)</a></p><p><a href=\"{}\">The log as a table (CSV)</a></p><p class=\"help\">These files "
        "are not encrypted.</p><p><a href=\"{}\">Your contacts on a map</a></p><h2>Before you send</h2><p><a "
        "href=\"{}\">How far people have to be "
        "from the antenna</a></p>",
        url("/contact/log.adi"), url("/contact/log.csv"), url("/map"), url("/exposure"));
    content.as_of = as_of_words(scene.viewer, view.as_of);
    return show(scene, std::move(content));
}

Result<Response> contact_sent(const Scene& scene) {
    const FormOn form(scene, "contact");
    const auto typed = contact_typed(form, scene.viewer);
    if (!typed) return contact_page(scene.back(refusal_of(typed.error(), "clock")));
    const ContactRequest& request = typed.value();
    const auto done = log_contact(scene.context(), request);
    if (!done) return contact_page(scene.back(refusal_of_contact(scene, request, done.error())));
    return redirect(url("/contact?said={}", scene.say(Told{"Written down: " + request.worked + ", " +
                                                           time_words(scene.viewer, request.start) + "."})));
}

Result<Response> milestone_sent(const Scene& scene) {
    const auto done = tick_milestone(scene.context(), scene.request.form.text("item"));
    if (!done) return contact_page(scene.back(refusal_of(done.error())));
    return redirect(url("/contact?said={}", scene.say(done.value())));
}

}  // namespace

void add_contact_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/contact", contact_page);
    on_post(router, house, "/contact", contact_sent);
    on_post(router, house, "/contact/milestone", milestone_sent);
    add_contact_change_pages(router, house);
    add_contact_file_pages(router, house);
    add_contact_line_pages(router, house);
}

}  // namespace ladderline::node::web
