#include "node/web/pages/item_parts.hpp"

#include <algorithm>

#include "node/commands/own_day.hpp"
#include "node/domain/ladder/rights.hpp"

namespace ladderline::node::web {
namespace {

namespace known = domain::known_item;

bool needs_second_person(const domain::Item& item) {
    return item.id == known::second_person_at_antenna || item.id == known::antenna_up;
}

// The fee's ten days run from the notice and not from the tick, so that no day stands there beforehand.
Html done_row(const Scene& scene, const FormOn& form, const domain::Item& item) {
    if (item.id == known::fee_notice_seen) {
        return day_row(form.required("day", "Day of the regulator's e-mail", "",
                                     "Not today, unless it came today: the last day of the fee is counted from it."));
    }
    const std::string_view help = item.gate == domain::ItemGate::grant
                                      ? "Leave it for today. As in a log, the day is that of UTC."
                                      : "Leave it for today.";
    return day_row(form.required("day", "Day it was done", to_iso(tick_day(scene.context(), item)), std::string(help)));
}

Html evidence_row(const FormOn& form, const domain::Item& item) {
    if (item.id == known::grant_visible) {
        return call_row(form.required("evidence", "Your call sign, as the public register shows it", "",
                                      "Everyone on your path sees it from now on."));
    }
    if (item.id == known::session_chosen) {
        return text_row(form.field("evidence", "Day of the session", "",
                                   "Written as 2026-11-25, it also sets the day that your practice aims at."));
    }
    const std::string asked = item.evidence.empty() || item.evidence == "none" ? "" : " (" + item.evidence + ")";
    return text_row(form.field("evidence", "What shows it" + asked, "", "Everyone on your path can read this."));
}

Html second_person_row(const FormOn& form, const WayView& way) {
    std::vector<Choice> choices{{"", "Choose the person"}};
    for (const PersonView& p : way.people) {
        if (p.id != way.owner.id) choices.push_back({key_of(p.id), p.name});
    }
    return list_row(form.required("with", "Who was there with you", "", "No antenna goes up or comes down alone."),
                    choices);
}

}  // namespace

bool is_own_tick(const Context& context, const WayView&, const domain::Item& item) {
    return domain::may_tick_roles(context.edition, item).has(domain::Role::newcomer);
}

Html tick_form(const Scene& scene, const WayView& way, const domain::Item& item, std::string_view back) {
    const FormOn form(scene, "tick");
    Html inside = hidden("do", "tick");
    inside += hidden("back", back);
    inside += done_row(scene, form, item);
    inside += evidence_row(form, item);
    if (item.gate == domain::ItemGate::grant && item.id != known::grant_visible) {
        inside += call_row(form.field("guest_of", "As a guest: call sign of the licensed operator in control", "",
                                      "Leave it empty if you sent under your own call sign."));
    }
    if (needs_second_person(item)) inside += second_person_row(form, way);
    inside += button("Tick: I did this");
    return form.form(url("/way/{}", domain::to_text(item.id)), inside);
}

bool asks_for_day_alone(const domain::Item& item) {
    return item.gate != domain::ItemGate::grant && !needs_second_person(item);
}

Html quick_buttons(const Scene& scene, const WayView& way, const domain::Item& item) {
    const Url action = url("/way/{}", domain::to_text(item.id));
    const domain::ItemState& state = domain::state_of(way.states, item.id);
    const bool own = is_own_tick(scene.context(), way, item);
    const bool asks_more =
        item.id == known::grant_visible || item.id == known::fee_notice_seen || needs_second_person(item);
    Html out;
    const auto one = [&](std::string_view words, std::string_view deed) {
        out += button_form(scene.request, action, words,
                           {{"do", std::string(deed)}, {"back", std::string(back_to_stage)}}, item.text);
    };
    if (own && state.needs_doing() && !asks_more) one("Tick", "tick");
    if (own && state.phase == domain::Phase::ticked) one("Undo the tick", "undo");
    if (state.needs_doing() && item.gate != domain::ItemGate::minor) one("Skip", "skip");
    if (state.phase == domain::Phase::skipped || state.phase == domain::Phase::resting) one("Open again", "reopen");
    return out.empty() ? Html() : html("<div class=\"side-by-side\">{}</div>", out);
}

std::string who_signs_words(const Context& context, const WayView& way, const domain::Item& item) {
    if (item.signs == domain::SignWord::none) return "Your tick is enough; nobody signs it.";
    const domain::RoleSet signers = domain::may_sign_roles(context.edition, item, way.owner.is_minor);
    std::string_view why;
    for (const domain::SignRow& row : domain::sign_table()) {
        if (row.word == item.signs) why = row.reason;
    }
    return "Signed by " + domain::to_words(signers) + ". " + std::string(why);
}

std::string kind_words(domain::ItemKind kind) {
    switch (kind) {
        case domain::ItemKind::checklist:
            return "something to do";
        case domain::ItemKind::skill:
            return "a skill, signed at a level";
        case domain::ItemKind::milestone:
            return "a milestone";
    }
    return "";
}

Html item_name(const domain::Item& item) {
    return html("<span class=\"call\">{}</span> {}", domain::to_text(item.id), item.text);
}

std::string person_words(const WayView& way, const domain::PersonId& person) {
    for (const PersonView& p : way.people) {
        if (to_domain(p.id) == person) return p.name;
    }
    return "somebody who has left";
}

}  // namespace ladderline::node::web
