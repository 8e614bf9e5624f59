#include "node/commands/search.hpp"

#include <algorithm>
#include <sstream>

#include "node/commands/contact_entry.hpp"
#include "node/read_models/way_views.hpp"
#include "protocol/base/letters.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::size_t characters_min = 2;

using Words = std::vector<std::string>;

bool have(const std::string& text, const Words& words) {
    const std::string small = lower(text);
    return std::ranges::all_of(words, [&](const std::string& word) { return small.find(word) != std::string::npos; });
}

// Only the first found_max; `more` is set beyond.
template <class T>
void keep_few(std::vector<T>& all, bool& more) {
    if (all.size() <= found_max) return;
    more = true;
    all.erase(all.begin() + found_max, all.end());
}

std::string place_of(const CircleView& circle, const std::string& founder) {
    return circle.kind == CircleKind::path ? founder + "'s path" : circle.name;
}

Result<void> add_people(Context& context, const CircleView& circle, const Words& words,
                        std::map<MemberId, FoundPerson>& to) {
    TRY(const auto persons, people(context.db, circle.id));
    const auto founder = std::ranges::find(persons, circle.founder, &PersonView::id);
    const std::string place = place_of(circle, founder == persons.end() ? "somebody" : founder->name);
    for (const PersonView& person : persons) {
        const std::string call = person.card ? person.card->call_sign : std::string();
        if (!have(person.name + " " + call, words)) continue;
        FoundPerson& out = to[person.id];
        out.id = person.id;
        out.name = person.name;
        if (!call.empty()) out.call_sign = call;
        out.places.push_back(place);
        const bool is_theirs = circle.kind == CircleKind::path && circle.founder == person.id;
        out.path_shared = out.path_shared || (is_theirs && person.id != context.me.id());
    }
    return ok();
}

std::string text_of(const ContactBody& c) {
    return contact_words(c) + " " + c.band + " " + c.locator + " " + c.comment;
}

Result<void> add_contacts(Context& context, const CircleView& path, const Words& words, std::vector<FoundContact>& to) {
    TRY(const auto owner, person(context.db, path.id, path.founder));
    const bool is_own = path.founder == context.me.id();
    TRY(const auto all, contacts(context.db, path.id));
    for (const ContactView& view : all) {
        if (view.by != path.founder || view.struck || !have(text_of(view.contact), words)) continue;
        to.push_back({view.id, contact_words(view.contact), path.founder, owner ? owner->name : "somebody", is_own});
    }
    return ok();
}

Words words_of(std::string_view text) {
    std::istringstream in(lower(text));
    Words out;
    for (std::string word; in >> word;) out.push_back(word);
    return out;
}

}  // namespace

Result<Found> search(Context& context, std::string_view text) {
    const Words words = words_of(text);
    std::size_t characters = 0;
    for (const std::string& word : words) characters += word.size();
    if (characters < characters_min) {
        return Error{Fault::bad_input, "Write at least two characters of a name, a call sign or an item."};
    }
    Found out;
    std::map<MemberId, FoundPerson> persons;
    TRY(auto all, circles(context.db));
    std::ranges::stable_partition(all, [&](const CircleView& c) { return c.founder == context.me.id(); });
    for (const CircleView& circle : all) {
        if (circle.kind == CircleKind::desk) continue;
        TRY(add_people(context, circle, words, persons));
        if (circle.kind == CircleKind::path) {
            TRY(add_contacts(context, circle, words, out.contacts));
        }
    }
    for (auto& [id, found] : persons) out.people.push_back(std::move(found));
    std::ranges::sort(out.people, {}, [](const FoundPerson& p) { return std::tie(p.name, p.id); });
    for (const domain::Item& item : context.edition.items) {
        if (have(domain::to_text(item.id) + " " + item.text, words)) out.items.push_back({item.id, item.text});
    }
    keep_few(out.people, out.more);
    keep_few(out.items, out.more);
    keep_few(out.contacts, out.more);
    return out;
}

}  // namespace ladderline::node
