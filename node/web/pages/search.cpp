// Finding people, items and contacts from every page, and the keys that reach the pages.

#include "node/commands/search.hpp"

#include "node/web/pages/frame.hpp"
#include "protocol/base/comma_list.hpp"

namespace ladderline::node::web {
namespace {

Html part(std::string_view title, const Html& lines) {
    if (lines.empty()) return Html();
    return html("<section><h2>{}</h2><ul class=\"links\">{}</ul></section>", title, lines);
}

Html people_part(const Found& found) {
    Html lines;
    for (const FoundPerson& person : found.people) {
        Html who = person_name(person.name);
        if (person.path_shared) who = html("<a href=\"{}\">{}</a>", url("/people/{}", key_of(person.id)), person.name);
        if (!person.call_sign.empty()) who.add(" {}", call_sign(person.call_sign));
        lines.add("<li>{} <span class=\"whom\">{}</span></li>", who, joined(person.places));
    }
    return part("People", lines);
}

// An item's page is about the own way; who has none reads the item here.
Html items_part(const Scene& scene, const Found& found) {
    Html lines;
    for (const FoundItem& item : found.items) {
        const std::string id = domain::to_text(item.id);
        lines += scene.viewer.path ? html("<li><a href=\"{}\">{} {}</a></li>", url("/way/{}", id), id, item.text)
                                   : html("<li>{} {}</li>", id, item.text);
    }
    return part("Items of the ladder", lines);
}

Html contacts_part(const Found& found) {
    Html lines;
    for (const FoundContact& contact : found.contacts) {
        if (contact.own) {
            lines.add("<li><a href=\"{}\">{}</a></li>", url("/contact/{}", to_hex(contact.id.view())), contact.words);
        } else {
            lines.add("<li><a href=\"{}\">{}</a> <span class=\"whom\">{}'s log</span></li>",
                      url("/people/{}", key_of(contact.whose)), contact.words, contact.whose_name);
        }
    }
    return part("Contacts", lines);
}

Result<Response> found_page(const Scene& scene) {
    const std::string words = scene.request.query.text("q");
    Page content;
    content.title = "Find";
    content.sought = words;
    const auto found = search(scene.context(), words);
    if (!found) {
        content.main = html("<p class=\"empty\">{}</p>", found.error().sentence());
        return show(scene, std::move(content), Live::no);
    }
    content.main = people_part(found.value());
    content.main += items_part(scene, found.value());
    content.main += contacts_part(found.value());
    if (found.value().empty()) {
        content.main = html(
            "<p class=\"empty\">Nothing with \"{}\" is in this store. Part of a name, a call sign, a locator or a word "
            "of an item is enough.</p>",
            words);
    }
    if (found.value().more) content.main.add("<p>There is more; add a word.</p>");
    return show(scene, std::move(content), Live::no);
}

Result<Response> keys_page(const Scene& scene) {
    Table keys;
    keys.caption = "Each together with the keys of your browser, below";
    keys.columns = {"Key", "Where it leads"};
    for (const NavLink& link : links_for(scene.viewer)) {
        keys.rows.push_back(
            {html("<kbd>{}</kbd>", std::string(1, link.key)), html("<a href=\"{}\">{}</a>", link.address, link.words)});
    }
    keys.rows.push_back({html("<kbd>s</kbd>"), text("the field to find something")});
    keys.rows.push_back({html("<kbd>i</kbd>"), html("<a href=\"{}\">Is it safe?</a>", url("/store"))});
    keys.rows.push_back({html("<kbd>e</kbd>"), html("<a href=\"{}\">Ladder and rules</a>", url("/ladder"))});
    if (scene.house.phone != nullptr) {
        keys.rows.push_back({html("<kbd>t</kbd>"), html("<a href=\"{}\">My phone</a>", url("/phone"))});
    }
    keys.rows.push_back({html("<kbd>h</kbd>"), text("this page")});
    Page content;
    content.title = "Keys";
    content.main = table(keys);
    content.main.add(
        "<p>Firefox: Alt and Shift with the key. Chromium and its relatives: Alt with the key. On a Mac: Control and "
        "Option with the key.</p><p>Tab goes from link to link and from field to field, Enter follows a link and sends "
        "a form, Space ticks a box. The first Tab on a page offers to skip to what it is about.</p>");
    return show(scene, std::move(content), Live::no);
}

}  // namespace

void add_search_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/find", found_page);
    on_get(router, house, "/keys", keys_page);
}

}  // namespace ladderline::node::web
