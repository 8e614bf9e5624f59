// Leaving, taking somebody out, a lost machine, a guardian's consent. What cannot be undone wants a box ticked.

#include "node/commands/goings.hpp"

#include <algorithm>

#include "node/commands/consent_days.hpp"
#include "node/commands/path_pause.hpp"
#include "node/commands/sees.hpp"
#include "node/web/pages/final_form.hpp"

namespace ladderline::node::web {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;

constexpr std::size_t listed_max = 100;  // of more people than that a name is typed

std::string circle_words(const Scene& scene, const CircleView& circle) {
    if (circle.kind == CircleKind::desk) return "your desk";
    if (circle.kind == CircleKind::club) return "the club " + circle.name;
    return circle.founder == scene.context().me.id() ? "your path" : "the path of " + circle.name;
}

std::vector<Choice> choices_of(const Scene& scene, const std::vector<CircleView>& circles) {
    std::vector<Choice> out;
    for (const CircleView& circle : circles) out.push_back({key_of(circle.id), circle_words(scene, circle)});
    return out;
}

Html leave_part(const Scene& scene, const std::vector<CircleView>& all) {
    std::vector<CircleView> others;
    for (const CircleView& circle : all) {
        if (circle.founder != scene.context().me.id() || circle.kind == CircleKind::club) others.push_back(circle);
    }
    const auto choices = choices_of(scene, others);
    if (choices.empty()) return html("<p class=\"empty\">There is nothing to leave: your desk and path are yours.</p>");
    const FormOn form(scene, "leave");
    return html(
        "<p>No reason is asked. What the others have seen stays with them; what is said from then on does not "
        "reach you.</p>{}",
        final_form(form, url("/goings/leave"), choice_row(form.required("circle", "What to leave"), choices),
                   "Yes, I leave", "Leave"));
}

Html take_back_part(const Scene& scene, const std::vector<CircleView>& all) {
    const FormOn form(scene, "back");
    return html(
        "<p>Everybody's program is asked to stop showing what you said there so far. Programs like this one do; what "
        "somebody read, printed or copied stays theirs, and signatures that you gave to others stand.</p>{}",
        final_form(form, url("/goings/take-back"), choice_row(form.required("circle", "Where"), choices_of(scene, all)),
                   "Yes, ask them", "Ask them to stop showing it"));
}

Result<Html> lost_part(const Scene& scene) {
    TRY(const auto devices, own_devices(scene.context()));
    std::vector<Choice> choices;
    for (const std::string& device : devices) {
        const std::size_t digits = device.rfind('(') + 1;  // "shack (1a2b3c4d)"
        choices.push_back({device.substr(digits, device.size() - digits - 1), device});
    }
    const FormOn form(scene, "lost");
    const Html rows = choice_row(form.required("device", "Which machine"), choices);
    return html(
        "<p>A machine that was stolen or lost is shut out of every circle for good, and the keys are changed. If it "
        "turns up again it begins as a new machine. Somebody else's: <code>ladderline lost LABEL --of NAME</code>.</p>"
        "{}",
        final_form(form, url("/goings/lost"), rows, "Yes, it is lost", "Shut it out"));
}

// Those whom the viewer may take out: of the club as its officer, of the own path.
Result<std::vector<Choice>> removable(const Scene& scene, const std::vector<CircleView>& all) {
    std::vector<Choice> out;
    for (const CircleView& circle : all) {
        const bool is_own_path = circle.kind == CircleKind::path && circle.founder == scene.context().me.id();
        TRY(const auto me, person(scene.context().db, circle.id, scene.context().me.id()));
        const bool is_own_club = circle.kind == CircleKind::club && me && me->role == MemberRole::officer;
        if (!is_own_path && !is_own_club) continue;
        TRY(const auto persons, people(scene.context().db, circle.id));
        for (const PersonView& person : persons) {
            if (person.id == scene.context().me.id()) continue;
            // Nobody under 18 takes their guardian out.
            if (is_own_path && me && me->is_minor && person.role == MemberRole::guardian) continue;
            out.push_back(
                {key_of(circle.id) + "-" + key_of(person.id), person.name + ", from " + circle_words(scene, circle)});
        }
    }
    return out;
}

Html who_rows(const Scene& scene, const FormOn& form, const std::vector<Choice>& people,
              const std::vector<CircleView>& all) {
    if (people.size() <= listed_max) return choice_row(form.required("who", "Who"), people);
    std::vector<CircleView> own;
    for (const CircleView& circle : all) {
        const bool is_path = circle.kind == CircleKind::path && circle.founder == scene.context().me.id();
        if (is_path || circle.kind == CircleKind::club) own.push_back(circle);
    }
    Html rows = choice_row(form.required("who", "Out of which circle"), choices_of(scene, own));
    rows += text_row(form.required("name", "Who", "", "Their name or call sign"));
    return rows;
}

Result<Html> remove_part(const Scene& scene, const std::vector<CircleView>& all) {
    TRY(const auto choices, removable(scene, all));
    if (choices.empty()) return html("<p class=\"empty\">There is nobody whom you may take out.</p>");
    const FormOn form(scene, "remove");
    Html rows = who_rows(scene, form, choices, all);
    rows += text_row(form.field("because", "Because", "", "One line that the circle sees; it may stay empty."));
    return html(
        "<p>They keep what they have seen and get nothing new: the key is changed. They can be invited "
        "again.</p>{}",
        final_form(form, url("/goings/remove"), rows, "Yes, take them out", "Take them out"));
}

// Paths of people under 18 on which the viewer is guardian.
Result<Html> consent_part(const Scene& scene, const std::vector<CircleView>& all) {
    std::vector<Choice> choices;
    Html now;
    for (const CircleView& circle : all) {
        if (circle.kind != CircleKind::path || circle.founder == scene.context().me.id()) continue;
        TRY(const auto me, person(scene.context().db, circle.id, scene.context().me.id()));
        TRY(const auto owner, person(scene.context().db, circle.id, circle.founder));
        const bool asked = me && me->role == MemberRole::guardian && owner && owner->is_minor;
        if (!asked) continue;
        choices.push_back({key_of(circle.founder), circle.name});
        TRY(const WayView view, way_of(scene.context(), circle));
        now.add("<li>{}: {}</li>", person_name(circle.name), consent_now(view, scene.context().today()));
    }
    if (choices.empty()) return Html();
    const FormOn form(scene, "consent");
    Html rows = list_row(form.required("newcomer", "For whom", choices.front().value), choices);
    rows += day_row(form.required("until", "Last day", to_iso(scene.context().today() + consent_days),
                                  "Two years at most; it ends by itself."));
    rows += button("I agree until that day", "do", "give");
    rows += button("I take my consent back", "do", "take back");
    return html(
        "<section><h2>A guardian's consent</h2><p>Without it no mentor is on the path of somebody under 18, "
        "and a second adult has to be there as well.</p><ul>{}</ul>{}</section>",
        now, form.form(url("/goings/consent"), rows));
}

Result<Response> goings_page(const Scene& scene) {
    TRY(const auto all, circles(scene.context().db));
    TRY(const Html consent, consent_part(scene, all));
    TRY(const Html lost, lost_part(scene));
    TRY(const Html remove, remove_part(scene, all));
    Page content;
    content.title = "Leaving, and what is lost";
    content.main = html(
        "{}<section><h2>A machine is lost</h2>{}</section><section><h2>Leave</h2>{}</section>"
        "<section><h2>Take somebody out</h2>{}</section><section><h2>Take back what you said</h2>{}"
        "</section>",
        consent, lost, leave_part(scene, all), remove, take_back_part(scene, all));
    content.side = html(
        "<h2>For good</h2><p>None of this can be undone, so each form has a box to tick first. Nothing "
        "here asks for a reason.</p><p><a href=\"{}\">Who sees what</a></p>",
        url("/circles"));
    return show(scene, std::move(content), Live::no);
}

Result<CircleView> circle_typed(const Scene& scene, const std::string& key) {
    TRY(const auto all, circles(scene.context().db));
    const auto found = std::ranges::find_if(all, [&](const CircleView& circle) { return key_of(circle.id) == key; });
    if (found == all.end()) return Error{Fault::bad_input, "Choose from the list which circle you mean."};
    return *found;
}

Result<Done> leave_as_typed(const Scene& scene) {
    const FormOn form(scene, "leave");
    TRY(sure(form));
    TRY(const CircleView circle, circle_typed(scene, form.text("circle")));
    return leave_circle(scene.context(), circle);
}

Result<Done> take_back_as_typed(const Scene& scene) {
    const FormOn form(scene, "back");
    TRY(sure(form));
    TRY(const CircleView circle, circle_typed(scene, form.text("circle")));
    return take_back(scene.context(), circle);
}

Result<Done> lost_as_typed(const Scene& scene) {
    const FormOn form(scene, "lost");
    TRY(sure(form));
    if (form.text("device").empty()) return Error{Fault::bad_input, "Choose from the list which machine is lost."};
    return report_lost(scene.context(), form.text("device"), "");
}

Result<Done> remove_as_typed(const Scene& scene) {
    const FormOn form(scene, "remove");
    TRY(sure(form));
    const std::string who = form.text("who");
    const std::size_t between = who.find('-');
    TRY(const CircleView circle, circle_typed(scene, who.substr(0, between)));
    const std::string person = between == std::string::npos ? form.text("name") : who.substr(between + 1);
    if (person.empty()) return Error{Fault::bad_input, "Write who it is; nobody was taken out."};
    return remove_person(scene.context(), circle, person, form.text("because"));
}

Result<Done> consent_as_typed(const Scene& scene) {
    const FormOn form(scene, "consent");
    if (scene.request.form.get("do") == "take back") {
        return give_consent(scene.context(), form.text("newcomer"), std::nullopt);
    }
    TRY(const Day until, parse_day(form.text("until")));
    return give_consent(scene.context(), form.text("newcomer"), until);
}

// The box while it is not ticked, then what was chosen; of a consent its last day.
std::string field_meant(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    const std::string which = scene.request.form.get("form");
    if (which == "consent") return "until";
    if (form.text("sure") != "yes") return "sure";
    if (which == "lost") return "device";
    if (which == "remove") return form.text("name").empty() ? "who" : "name";
    return "circle";
}

template <Result<Done> (*Deed)(const Scene&)>
Result<Response> sent(const Scene& scene) {
    const auto done = Deed(scene);
    if (!done) return goings_page(scene.back(refusal_of(done.error(), field_meant(scene))));
    return redirect(url("/goings?said={}", scene.say(done.value())));
}

}  // namespace

void add_going_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/goings", goings_page);
    on_post(router, house, "/goings/leave", sent<leave_as_typed>);
    on_post(router, house, "/goings/take-back", sent<take_back_as_typed>);
    on_post(router, house, "/goings/lost", sent<lost_as_typed>);
    on_post(router, house, "/goings/remove", sent<remove_as_typed>);
    on_post(router, house, "/goings/consent", sent<consent_as_typed>);
}

}  // namespace ladderline::node::web
