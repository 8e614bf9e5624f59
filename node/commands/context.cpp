#include "node/commands/context.hpp"

#include <algorithm>

#include "protocol/base/letters.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

bool is_meant(const PersonView& person, const std::string& wanted) {
    if (lower(person.name).find(wanted) != std::string::npos) return true;
    if (person.card && lower(person.card->call_sign) == wanted) return true;
    return wanted.size() >= 6 && to_hex(person.id.view()).starts_with(wanted);
}

// The one match, or a sentence that names the candidates. A whole name goes before a part of one, so that somebody
// whose name is part of another's can be meant.
template <class T>
Result<T> only_one(std::vector<T> found, std::vector<std::string> names, std::string_view who, std::string_view place) {
    if (found.size() == 1) return std::move(found.front());
    const auto is_whole = [&](const std::string& name) { return lower(name) == lower(who); };
    if (std::count_if(names.begin(), names.end(), is_whole) == 1) {
        const auto whole = std::find_if(names.begin(), names.end(), is_whole) - names.begin();
        return std::move(found[static_cast<std::size_t>(whole)]);
    }
    const std::string quoted = "'" + std::string(who) + "'";
    if (found.empty()) return Error{Fault::not_found, "Nobody called " + quoted + " is " + std::string(place) + "."};
    std::string list;
    for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
    return Error{Fault::bad_input, quoted + " could be " + list + "; give more of the name."};
}

}  // namespace

Result<EventId> say(Context& context, const CircleId& circle, std::uint16_t kind, Bytes payload,
                    std::vector<EventId> supersedes) {
    TRY(const EventId id, context.log.append({circle, kind, std::move(payload), std::move(supersedes)}, context.now()));
    context.news(circle);
    return id;
}

Result<CircleView> own_circle(Context& context, CircleKind kind) {
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind != kind) continue;
        if (kind == CircleKind::club ? myself(context, circle.id).has_value() : circle.founder == context.me.id()) {
            return circle;
        }
    }
    switch (kind) {
        case CircleKind::club:
            return Error{Fault::not_found,
                         "You are in no club yet; ask an officer for an invite and use 'ladderline join'."};
        case CircleKind::path:
            return Error{Fault::not_found, "You have no way of your own here; name the newcomer whose way you mean."};
        case CircleKind::desk:
            break;
    }
    return Error{Fault::not_found, "This store has no owner yet; begin with 'ladderline begin'."};
}

Result<CircleView> path_of(Context& context, std::string_view who) {
    if (who.empty()) return own_circle(context, CircleKind::path);
    const std::string wanted = lower(who);
    TRY(const auto all, circles(context.db));
    std::vector<CircleView> found;
    std::vector<std::string> names;
    for (const CircleView& circle : all) {
        if (circle.kind != CircleKind::path) continue;
        TRY(const auto persons, people(context.db, circle.id));
        for (const PersonView& person : persons) {
            if (person.id != circle.founder) continue;
            if (to_hex(person.id.view()) == wanted) return circle;
            if (!is_meant(person, wanted)) continue;
            found.push_back(circle);
            names.push_back(person.name);
        }
    }
    return only_one(std::move(found), std::move(names), who, "a newcomer whose way you share");
}

Result<PersonView> find_person(Context& context, const CircleId& circle, std::string_view who) {
    const std::string wanted = lower(who);
    TRY(auto persons, people(context.db, circle));
    for (const PersonView& person : persons) {
        if (to_hex(person.id.view()) == wanted)
            return person;  // a whole key means one person, whatever others are called
    }
    std::vector<PersonView> found;
    std::vector<std::string> names;
    for (PersonView& person : persons) {
        if (wanted.empty() || !is_meant(person, wanted)) continue;
        names.push_back(person.name);
        found.push_back(std::move(person));
    }
    return only_one(std::move(found), std::move(names), who, "in this circle");
}

Result<PersonView> myself(Context& context, const CircleId& circle) {
    TRY(auto me, person(context.db, circle, context.me.id()));
    if (me) return std::move(*me);
    return Error{Fault::refused, "You are not in that circle any more."};
}

}  // namespace ladderline::node
