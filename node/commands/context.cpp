#include "node/commands/context.hpp"

#include "node/commands/own_clubs.hpp"
#include "node/commands/who_is_meant.hpp"

namespace ladderline::node {

using namespace protocol;

Result<EventId> say(Context& context, const CircleId& circle, std::uint16_t kind, Bytes payload,
                    std::vector<EventId> supersedes) {
    TRY(const EventId id, context.log.append({circle, kind, std::move(payload), std::move(supersedes)}, context.now()));
    context.news(circle);
    return id;
}

Result<CircleView> own_circle(Context& context, CircleKind kind) {
    if (kind == CircleKind::club) {
        TRY(auto clubs, own_clubs(context));
        if (!clubs.empty()) return std::move(clubs.front());
    } else {
        TRY(const auto all, circles(context.db));
        for (const CircleView& circle : all) {
            if (circle.kind == kind && circle.founder == context.me.id()) return circle;
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
