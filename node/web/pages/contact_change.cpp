// One contact of the own path or of a newcomer's: what stands in the log, what stood there before, and for whoever
// wrote it down the forms to change it and to strike it out.

#include <algorithm>

#include "node/commands/contact_changes.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/domain/rules/continents.hpp"
#include "node/web/pages/contact_parts.hpp"

namespace ladderline::node::web {
namespace {

// The newcomer's key; empty on the own path.
std::string who_of(const Scene& scene) {
    return scene.request.params.get("who");
}

Url address_of(const Scene& scene, const std::string& contact) {
    if (who_of(scene).empty()) return url("/contact/{}", contact);
    return url("/people/{}/contact/{}", who_of(scene), contact);
}

// Where all of them are, and what was done is said.
Url list_address(const Scene& scene, std::uint64_t said) {
    if (who_of(scene).empty()) return url("/contact?said={}", said);
    return url("/people/{}?said={}", who_of(scene), said);
}

Result<ContactView> contact_meant(const Scene& scene, const WayView& way) {
    const std::string wanted = scene.request.params.get("id");
    for (const auto* all : {&way.contacts, &way.other_sides, &way.struck}) {
        for (const ContactView& view : *all) {
            if (key_of(view.id) == wanted) return view;
        }
    }
    return Error{Fault::not_found, "There is no such contact in this log."};
}

std::string name_of(const WayView& way, const protocol::MemberId& id) {
    for (const PersonView& p : way.people) {
        if (p.id == id) return p.name;
    }
    return "somebody who has left";
}

Html facts(const Scene& scene, const WayView& way, const ContactView& view) {
    const protocol::ContactBody& c = view.contact;
    std::string place = domain::country_of_call(c.worked).value_or("");
    if (const auto continent = domain::continent_of_call(c.worked)) {
        place += ", " + std::string(domain::continent_name(*continent));
    }
    return html("<p>{}, {}, {}.</p><p>Country, by the call sign: {}.</p><p>Written down by {}.</p>{}",
                call_sign(c.worked), both_clocks(scene.viewer, c.start), where_words(c),
                place.empty() ? "not known" : place, person_name(name_of(way, view.by)),
                view.struck ? notice(Tone::caution, "Struck out",
                                     "It is in no list, no file and no count any more. Changing it brings it back.")
                            : Html());
}

Html history_part(const Scene& scene, const WayView& way, const ContactView& view) {
    Table out;
    out.caption = "What was said about it, oldest first";
    out.columns = {"When", "Who", "What"};
    out.empty_sentence = "It stands as it was written down.";
    for (const HistoryLine& line : history_lines(view)) {
        out.rows.push_back(
            {both_clocks(scene.viewer, line.said), person_name(name_of(way, view.by)), text(line.words)});
    }
    return table(out);
}

Html change_forms(const Scene& scene, const WayView& way, const ContactView& view) {
    const std::string key = key_of(view.id);
    const FormOn change(scene, "change");
    Html rows = contact_rows(change, scene, change_of(view), !way.call_sign.empty());
    rows += button("Change it");
    Html out = html(
        "<section><h2>Change it</h2><p class=\"help\">What stands there now stays in the history.</p>{}"
        "</section>",
        change.form(address_of(scene, key), rows));
    if (view.struck) return out;
    const FormOn strike(scene, "strike");
    Html inside = text_row(strike.field("reason", "Why, in a few words", "", "You may leave it empty."));
    inside += button("Strike it out");
    out += html(
        "<section><h2>Strike it out</h2><p class=\"help\">For what never happened. Ticks and signatures stay as "
        "they are.</p>{}</section>",
        strike.form(address_of(scene, key), inside));
    return out;
}

Result<Response> one_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), who_of(scene)));
    TRY(const ContactView contact, contact_meant(scene, view));
    Page content;
    content.title = "Contact with " + contact.contact.worked;
    content.main = html("<section>{}{}</section>", facts(scene, view, contact), history_part(scene, view, contact));
    if (contact.by == scene.context().me.id()) content.main += change_forms(scene, view, contact);
    content.side = who_of(scene).empty() ? html("<p><a href=\"{}\">All contacts</a></p>", url("/contact"))
                                         : html("<p><a href=\"{}\">Back to {}</a></p>",
                                                url("/people/{}", who_of(scene)), view.owner.name);
    return show(scene, std::move(content), Live::no);
}

Result<Response> one_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    const std::string id = scene.request.params.get("id");
    if (scene.request.form.get("form") == "strike") {
        const auto done = strike_contact(scene.context(), who_of(scene), id, form.text("reason"));
        if (!done) return one_page(scene.back(refusal_of(done.error(), "reason")));
        return redirect(list_address(scene, scene.say(done.value())));
    }
    auto typed = contact_typed(form, scene.viewer);
    if (!typed) return one_page(scene.back(refusal_of(typed.error(), "clock")));
    ContactRequest& to = typed.value();
    to.who = who_of(scene);
    const auto done = amend_contact(scene.context(), id, to);
    if (!done) return one_page(scene.back(refusal_of_contact(scene, to, done.error())));
    if (who_of(scene).empty()) return redirect(url("/contact/{}?said={}", id, scene.say(done.value())));
    return redirect(url("/people/{}/contact/{}?said={}", who_of(scene), id, scene.say(done.value())));
}

}  // namespace

void add_contact_change_pages(Router& router, const std::shared_ptr<House>& house) {
    for (const char* place : {"/contact/{id}", "/people/{who}/contact/{id}"}) {
        on_get(router, house, place, one_page);
        on_post(router, house, place, one_sent);
    }
}

}  // namespace ladderline::node::web
