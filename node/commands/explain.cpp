#include "node/commands/explain.hpp"

#include <algorithm>

#include "node/commands/study_pools.hpp"
#include "node/commands/way.hpp"
#include "node/read_models/desk_views.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

bool teaches(CircleKind kind, MemberRole role) {
    if (kind == CircleKind::desk) return true;
    return role == MemberRole::mentor || role == MemberRole::officer;
}

Result<CircleView> circle_meant(Context& context, const ExplainRequest& request) {
    if (request.circle == "path" || (request.circle.empty() && !request.who.empty())) {
        return path_of(context, request.who);
    }
    if (request.circle == "club") return own_circle(context, CircleKind::club);
    if (request.circle == "desk") return own_circle(context, CircleKind::desk);
    if (!request.circle.empty()) {
        return Error{Fault::bad_input, "'" + request.circle + "' is no circle: say club, path or desk."};
    }
    auto club = own_circle(context, CircleKind::club);
    if (club) return club;
    return own_circle(context, CircleKind::desk);
}

Result<void> readable(std::string_view text) {
    if (text.size() <= limits::text_bytes_max && is_utf8(text)) return ok();
    return Error{Fault::bad_input, "An explanation has at most " + std::to_string(limits::text_bytes_max) +
                                       " bytes of readable text; nothing was sent."};
}

std::string for_whom(const CircleView& circle) {
    switch (circle.kind) {
        case CircleKind::club:
            return "the club";
        case CircleKind::path:
            return "those on this path";
        case CircleKind::desk:
            break;
    }
    return "you alone";
}

}  // namespace

Result<Done> explain(Context& context, const ExplainRequest& request) {
    TRY(const StudyPool study, chosen_pool(context, request.pool));
    const bool known = study.pool.find(request.question) || study.pool.is_withdrawn(request.question);
    if (!known) {
        return Error{Fault::not_found, "Question " + request.question + " is not in the pool of element " +
                                           std::to_string(study.pool.element) + "; nothing was sent."};
    }
    TRY(readable(request.text));
    TRY(const CircleView circle, circle_meant(context, request));
    if (circle.kind != CircleKind::desk) {
        TRY(const PersonView me, myself(context, circle.id));
        if (circle.kind == CircleKind::path && circle.founder != me.id) {
            TRY(const WayView view, way(context, to_hex(circle.founder.view())));
            TRY(domain::group_complete(view.group, context.today()));
        }
        if (!teaches(circle.kind, me.role)) {
            return Error{Fault::refused,
                         "Mentors and officers explain for others; keep it for yourself with --circle desk. Nothing "
                         "was sent."};
        }
    }
    const ExplanationBody body{study.name(), request.question, request.text};
    TRY(const EventId id, say(context, circle.id, kind::explanation, codec::encode(body)));
    const std::string what = request.text.empty() ? "Taken away for " : "Explained for ";
    return Done{what + for_whom(circle) + ": question " + request.question + ".", id};
}

Result<std::vector<Explanation>> explanations(Context& context, const PoolChoice& choice, std::string_view question) {
    TRY(const StudyPool study, chosen_pool(context, choice));
    TRY(const auto said, explanations_of(context.db, study.name(), question));
    std::vector<Explanation> out;
    if (said.empty()) return out;
    TRY(const auto all, circles(context.db));
    for (const ExplanationView& one : said) {
        const auto circle =
            std::find_if(all.begin(), all.end(), [&](const CircleView& c) { return c.id == one.circle; });
        if (circle == all.end()) continue;
        TRY(const auto persons, people(context.db, circle->id));
        for (const PersonView& person : persons) {
            if (person.id != one.by || !teaches(circle->kind, person.role)) continue;
            out.push_back({person.id == context.me.id() ? "you" : person.name, one.text, one.said});
        }
    }
    return out;
}

Result<std::vector<ExplainPlace>> explain_places(Context& context) {
    TRY(const auto all, circles(context.db));
    const auto club = own_circle(context, CircleKind::club);
    std::vector<ExplainPlace> out;
    std::vector<ExplainPlace> paths;
    for (const CircleView& circle : all) {
        const auto me = myself(context, circle.id);
        if (circle.kind == CircleKind::desk || !me || !teaches(circle.kind, me.value().role)) continue;
        if (club && club.value().id == circle.id) out.push_back({"club", "", "for " + circle.name});
        if (circle.kind != CircleKind::path) continue;
        TRY(const auto persons, people(context.db, circle.id));
        for (const PersonView& person : persons) {
            if (person.id != circle.founder) continue;
            paths.push_back({"path", to_hex(person.id.view()), "on " + person.name + "'s path alone"});
        }
    }
    out.insert(out.end(), paths.begin(), paths.end());
    out.push_back({"desk", "", "for myself alone"});
    return out;
}

}  // namespace ladderline::node
