#include "node/web/pages/bench_parts.hpp"

#include <algorithm>

#include "node/commands/own_day.hpp"
#include "node/web/pages/item_parts.hpp"

namespace ladderline::node::web {
namespace {

using domain::Level;

constexpr std::size_t own_ticks_shown = 4;
constexpr std::string_view sign_many_name = "sign-many";

domain::Actor actor_of(const PersonView& me) {
    return {to_domain(me.id), domain::RoleSet{to_domain(me.role)}, static_cast<Level>(me.level)};
}

domain::Way domain_way(const WayView& way) {
    return {to_domain(way.owner.id), way.owner.is_minor};
}

bool can_sign(const Scene& scene, const WayView& way, const domain::Item& item, const PersonView& me) {
    const Level least = item.kind == domain::ItemKind::skill ? Level::with_help : Level::none;
    return domain::may_sign(scene.context().edition, item, domain_way(way), actor_of(me), least,
                            domain::state_of(way.states, item.id))
        .has_value();
}

std::string dashed(domain::ItemId id) {
    std::string out = domain::to_text(id);
    std::replace(out.begin(), out.end(), '.', '-');
    return out;
}

// Names of forms: one a path and item, since several people's forms stand on one page.
std::string form_name(std::string_view deed, const WayView& way, domain::ItemId id) {
    constexpr std::size_t digits = 8;
    return std::string(deed) + "-" + key_of(way.owner.id).substr(0, digits) + "-" + dashed(id);
}

std::vector<Choice> levels_up_to(std::uint8_t held) {
    std::vector<Choice> out;
    const auto add = [&](Level level, const char* words) {
        if (held >= static_cast<std::uint8_t>(level)) {
            out.push_back({std::to_string(static_cast<int>(level)), words});
        }
    };
    add(Level::with_help, "with help");
    add(Level::alone, "alone, without prompting");
    add(Level::taught_it, "taught it: one other person can do it now");
    return out;
}

Html sign_form(const Scene& scene, const WayView& way, const domain::Item& item, const PersonView& me) {
    const FormOn form(scene, form_name("sign", way, item.id));
    const domain::ItemState& state = domain::state_of(way.states, item.id);
    Html inside = hidden("item", domain::to_text(item.id));
    Html about = state_mark(Mark::waiting, "ticked on " + to_iso(state.tick->day));
    if (!state.tick->text.empty()) about.add(" <q>{}</q>", state.tick->text);
    inside.add("<p>{}</p>", about);
    inside += caution_for(item);
    if (item.kind == domain::ItemKind::skill) {
        const auto levels = levels_up_to(me.level);
        const std::string first = levels.size() > 1 ? levels[1].value : levels.front().value;
        inside += radio_rows(form.required("level", "How they do it", first), levels);
    }
    inside += day_row(form.required("day", "Day you saw it, by UTC", to_iso(state.tick->day)));
    inside +=
        text_row(form.field("saw", "What you saw or heard", "", "In your own words; everyone on the path reads it."));
    inside += button("Sign it");
    return html("<details id=\"d-{}\" {}><summary>Sign: {}</summary>{}</details>", form.key("d"),
                flag("open", form.came_back()), item_name(item),
                form.form(url("/people/{}/sign", key_of(way.owner.id)), inside));
}

// Ticked by them, and the viewer's word is awaited, who may give it.
std::vector<const domain::Item*> items_to_sign(const Scene& scene, const WayView& way, const PersonView& me) {
    std::vector<const domain::Item*> out;
    for (const domain::Waiting& w : way.progress.waiting) {
        if (w.what != domain::Awaited::signature || !w.item) continue;
        const domain::Item* item = scene.context().edition.find(*w.item);
        if (item != nullptr && can_sign(scene, way, *item, me)) out.push_back(item);
    }
    return out;
}

std::string line_to_sign(const WayView& way, const domain::Item& item) {
    const domain::ItemState& state = domain::state_of(way.states, item.id);
    std::string out = domain::to_text(item.id) + " " + item.text + " (ticked on " + to_iso(state.tick->day);
    if (!state.tick->text.empty()) out += ": " + state.tick->text;
    if (item.kind == domain::ItemKind::skill) out += "; a skill";
    if (item.safety) out += "; about safety";
    return out + ")";
}

Html own_tick_form(const Scene& scene, const WayView& way, const domain::Item& item) {
    if (item.id == domain::known_item::guardian_agrees && way.owner.is_minor) {
        return html("<p>{} <a class=\"button\" href=\"{}\">Say until when you agree</a></p>", item_name(item),
                    url("/goings"));
    }
    const FormOn form(scene, form_name("tick", way, item.id));
    Html inside = hidden("item", domain::to_text(item.id));
    inside += caution_for(item);
    if (!item.note.empty()) inside.add("<p class=\"help\">{}.</p>", item.note);
    inside += day_row(form.required("day", "Day it was done", to_iso(tick_day(scene.context(), item))));
    inside += text_row(form.field(
        "evidence", "What shows it" + (item.evidence.empty() || item.evidence == "none" ? std::string()
                                                                                        : " (" + item.evidence + ")")));
    inside += button("Tick: I did this");
    return html("<details id=\"d-{}\" {}><summary>Tick: {}</summary>{}</details>", form.key("d"),
                flag("open", form.came_back()), item_name(item),
                form.form(url("/people/{}/tick", key_of(way.owner.id)), inside));
}

// What lies behind the newcomer is not asked for again, unless it is about safety.
bool is_behind(const WayView& way, const domain::Item& item) {
    return !item.safety && item.id.stage < way.progress.furthest_stage.value_or(0);
}

// Items of a helper's own seat that need doing, as far as the newcomer has come.
Html ticks_of_mine(const Scene& scene, const WayView& way, const PersonView& me) {
    Html out;
    std::size_t count = 0;
    const std::uint8_t reach =
        std::max(way.progress.current_stage.value_or(0), way.progress.furthest_stage.value_or(0));
    for (const domain::Item& item : scene.context().edition.items) {
        const domain::ItemState& state = domain::state_of(way.states, item.id);
        if (item.id.stage > reach || is_behind(way, item) || !state.needs_doing() ||
            (item.only_if_needed && !state.assigned))
            continue;
        if (!domain::applies_to(item, way.owner.is_minor) || count == own_ticks_shown) continue;
        if (!domain::may_tick(scene.context().edition, item, domain_way(way), actor_of(me))) continue;
        ++count;
        out += own_tick_form(scene, way, item);
    }
    return out;
}

Html withdraw_form(const Scene& scene, const WayView& way, const domain::Item& item, const domain::Mark& mark) {
    const FormOn form(scene, form_name("withdraw", way, item.id));
    Html inside = hidden("item", domain::to_text(item.id));
    inside += text_row(form.required("why", "Why", "", "The newcomer reads this reason."));
    inside += button("Take my signature back");
    return html("<details id=\"d-{}\" {}><summary>{}, signed {}</summary>{}</details>", form.key("d"),
                flag("open", form.came_back()), item_name(item), to_iso(mark.day),
                form.form(url("/people/{}/withdraw", key_of(way.owner.id)), inside));
}

}  // namespace

const PersonView* viewer_in(const Scene& scene, const WayView& way) {
    for (const PersonView& p : way.people) {
        if (p.id == scene.context().me.id()) return &p;
    }
    return nullptr;
}

Html waiting_on_me(const Scene& scene, const WayView& way) {
    const PersonView* me = viewer_in(scene, way);
    if (me == nullptr) return Html();
    Html out =
        each(items_to_sign(scene, way, *me), [&](const domain::Item* i) { return sign_form(scene, way, *i, *me); });
    out += ticks_of_mine(scene, way, *me);
    return out;
}

std::size_t signatures_awaited(const Scene& scene, const WayView& way) {
    const PersonView* me = viewer_in(scene, way);
    return me == nullptr ? 0 : items_to_sign(scene, way, *me).size();
}

Html sign_many_form(const Scene& scene, const WayView& way) {
    const PersonView* me = viewer_in(scene, way);
    if (me == nullptr) return Html();
    const auto items = items_to_sign(scene, way, *me);
    const FormOn form(scene, std::string(sign_many_name));
    if (items.size() < (form.came_back() ? 1U : 2U)) return Html();
    std::vector<Choice> choices;
    bool skills = false;
    const domain::Item* safety = nullptr;
    for (const domain::Item* item : items) {
        choices.push_back({domain::to_text(item->id), line_to_sign(way, *item)});
        skills = skills || item->kind == domain::ItemKind::skill;
        if (item->safety && (safety == nullptr || safety->id < item->id)) safety = item;
    }
    Html inside = safety != nullptr ? caution_for(*safety) : Html();
    inside += check_rows(form.field("items", "Which of them you saw or heard"), choices,
                         form.came_back() ? form.all("items") : std::vector<std::string>());
    if (skills) {
        const auto levels = levels_up_to(me->level);
        const std::string first = levels.size() > 1 ? levels[1].value : levels.front().value;
        inside += radio_rows(form.required("level", "How they do the skills among them", first), levels);
    }
    inside += day_row(form.required("day", "Day you saw it", to_iso(own_day(scene.context()))));
    inside += text_row(form.field("saw", "What you saw or heard", "",
                                  "It goes with each of them, and everyone on the path reads it. May be left out."));
    inside += button("Sign what is ticked");
    return html(
        "<details id=\"d-sign-many\" {}><summary>Sign several at once</summary><p id=\"several\">Each is signed by a "
        "statement "
        "of its own, which you can take back alone.</p>{}</details>",
        flag("open", form.came_back()), form.form(url("/people/{}/sign-many", key_of(way.owner.id)), inside));
}

Html my_signatures(const Scene& scene, const WayView& way) {
    const PersonView* me = viewer_in(scene, way);
    if (me == nullptr) return Html();
    Html out;
    for (const auto& [id, state] : way.states) {
        const domain::Item* item = scene.context().edition.find(id);
        const auto mine = std::find_if(state.signatures.rbegin(), state.signatures.rend(),
                                       [&](const domain::Mark& m) { return m.author == to_domain(me->id); });
        if (item != nullptr && mine != state.signatures.rend()) out += withdraw_form(scene, way, *item, *mine);
    }
    return out;
}

Html assign_form(const Scene& scene, const WayView& way) {
    const PersonView* me = viewer_in(scene, way);
    if (me == nullptr || me->role != protocol::MemberRole::mentor) return Html();
    const FormOn form(scene, "assign");
    std::vector<Choice> stages{{"", "No whole stage"}};
    for (const domain::Stage& stage : scene.context().edition.stages) {
        stages.push_back({std::to_string(stage.number), std::to_string(stage.number) + ". " + stage.title});
    }
    Html inside = list_row(form.field("stage", "A whole stage"), stages);
    inside +=
        text_row(form.field("items", "Or single items", "", "Numbers as 9.6, or words of an item; commas between."));
    inside += button("Ask for it next");
    return form.form(url("/people/{}/assign", key_of(way.owner.id)), inside);
}

}  // namespace ladderline::node::web
