// One item of the own way: what it is, what was said about it, and the forms to say more.

#include <algorithm>

#include "node/commands/items.hpp"
#include "node/commands/who_ticks.hpp"
#include "node/web/pages/item_parts.hpp"
#include "node/web/pages/page_words.hpp"

namespace ladderline::node::web {
namespace {

Html mark_line(const WayView& way, std::string_view what, const domain::Mark& mark) {
    const std::string level = mark.level == domain::Level::none ? "" : ", level " + std::string(to_word(mark.level));
    return html("<li><strong>{}</strong> {} on {}{}{}</li>", what, person_name(person_words(way, mark.author)),
                to_iso(mark.day), level, mark.text.empty() ? Html() : html(": <q>{}</q>", mark.text));
}

Html trail(const WayView& way, const domain::ItemState& state) {
    Html lines;
    if (state.assigned) lines += mark_line(way, "Asked for by", *state.assigned);
    if (state.tick) lines += mark_line(way, "Ticked by", *state.tick);
    for (const domain::Mark& mark : state.signatures) lines += mark_line(way, "Signed by", mark);
    if (state.withdrawal) lines += mark_line(way, "Signature taken back by", *state.withdrawal);
    if (state.reopening) lines += mark_line(way, "Opened again by", *state.reopening);
    if (state.set_aside) lines += mark_line(way, "Set aside by", *state.set_aside);
    if (lines.empty()) return html("<p class=\"empty\">Nobody has said anything about this item yet.</p>");
    return html("<ul>{}</ul>", lines);
}

Html aside_buttons(const Scene& scene, const domain::Item& item, const domain::ItemState& state) {
    const Url action = url("/way/{}", domain::to_text(item.id));
    Html out;
    const auto one = [&](std::string_view words, std::string_view deed) {
        out += button_form(scene.request, action, words, {{"do", std::string(deed)}, {"back", "item"}});
    };
    if (state.tick) one("Undo my tick", "undo");
    const bool may_wait = item.gate != domain::ItemGate::minor;
    if (may_wait && state.phase != domain::Phase::skipped) one("Skip: not for me", "skip");
    if (may_wait && state.phase != domain::Phase::resting) one("Rest: not now", "rest");
    if (!state.needs_doing()) one("Open it again", "reopen");
    if (out.empty()) return out;
    return html(
        "<section><h2>Other things you can say</h2><p>No reason is asked for any of these.</p>"
        "<div class=\"side-by-side\">{}</div></section>",
        out);
}

Result<Response> item_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), ""));
    TRY(const domain::Item* item, domain::find_by_input(scene.context().edition, scene.request.params.get("item")));
    const domain::ItemState& state = domain::state_of(view.states, item->id);
    Page content;
    content.title = domain::to_text(item->id) + " " + item->text;
    content.main.add("<p>{}</p>", state_mark(mark_of(state, *item), state_words(state, *item)));
    content.main += caution_for(*item);
    content.main.add("<p>It is {}. {}</p>", kind_words(item->kind), who_signs_words(scene.context(), view, *item));
    if (!item->note.empty()) content.main.add("<p>{}.</p>", item->note);
    if (is_own_tick(scene.context(), view, *item)) {
        content.main.add("<section><h2>{}</h2>{}</section>",
                         state.tick ? "Tick it again, with another day or word" : "Tick it",
                         tick_form(scene, view, *item, "item"));
    } else {
        content.main.add("<p>{}</p>", page_words(scene.viewer, who_ticks(scene.context(), view, *item)));
    }
    content.main += aside_buttons(scene, *item, state);
    content.side = html("<h2>Who said what</h2>{}<p><a href=\"{}\">All of this stage</a></p>", trail(view, state),
                        url("/way?stage={}", item->id.stage));
    content.as_of = as_of_words(scene.viewer, view.as_of);
    return show(scene, std::move(content));
}

Result<Done> tick_as_typed(const Scene& scene, const std::string& item, bool undo) {
    const FormOn form(scene, "tick");
    TickRequest request;
    request.item = item;
    request.undo = undo;
    if (const std::string day = form.text("day"); !day.empty()) {
        TRY(const Day parsed, parse_day(day));
        request.day = parsed;
    }
    const auto meant = domain::find_by_input(scene.context().edition, item);
    const bool is_notice = meant && meant.value()->id == domain::known_item::fee_notice_seen;
    if (is_notice && !undo && !request.day) {
        return Error{Fault::bad_input, "Say the day of the regulator's e-mail: the last day of the fee depends on it."};
    }
    request.evidence = form.text("evidence");
    request.guest_of = form.text("guest_of");
    request.with = form.text("with");
    return tick(scene.context(), request);
}

Result<Done> done_to_item(const Scene& scene, const std::string& item) {
    const std::string deed = scene.request.form.get("do");
    if (deed == "tick" || deed == "undo") return tick_as_typed(scene, item, deed == "undo");
    if (deed == "skip") return set_aside(scene.context(), {item, domain::StatementKind::skip});
    if (deed == "rest") return set_aside(scene.context(), {item, domain::StatementKind::rest});
    if (deed == "reopen") return set_aside(scene.context(), {item, domain::StatementKind::reopen});
    return Error{Fault::bad_input, "That button says nothing that this page knows; nothing was changed."};
}

// Which field a refusal of a tick is about, as far as can be told.
std::string field_of(const Scene& scene, const domain::Item& item) {
    const FormOn form(scene, "tick");
    if (item.id == domain::known_item::grant_visible) return "evidence";
    const bool was_sent = scene.request.form.get("form") == "tick";
    if (was_sent && !parse_day(form.text("day"))) return "day";
    return "";
}

// What would bring back `before`; nothing where one button cannot.
std::optional<Undo> contrary(const Scene& scene, const domain::Item& item, const domain::ItemState& before) {
    const std::string deed = scene.request.form.get("do");
    Undo out{url("/way/{}", domain::to_text(item.id)), {{"back", scene.request.form.get("back")}}};
    const auto with = [&](std::string_view contrary_deed) {
        out.values.push_back({"do", std::string(contrary_deed)});
        return std::optional(out);
    };
    if (deed == "tick" && !before.tick && before.needs_doing()) return with("undo");
    if (deed == "undo" && before.tick && asks_for_day_alone(item)) {
        out.values.insert(
            out.values.end(),
            {{"form", "tick"}, {"tick-day", to_iso(before.tick->day)}, {"tick-evidence", before.tick->text}});
        return with("tick");
    }
    if ((deed == "skip" || deed == "rest") && !before.set_aside) return with("reopen");
    if (deed == "reopen" && before.phase == domain::Phase::skipped) return with("skip");
    if (deed == "reopen" && before.phase == domain::Phase::resting) return with("rest");
    return std::nullopt;
}

Result<Response> item_sent(const Scene& scene) {
    TRY(const domain::Item* item, domain::find_by_input(scene.context().edition, scene.request.params.get("item")));
    const std::string id = domain::to_text(item->id);
    TRY(const WayView view, way(scene.context(), ""));
    const std::optional<Undo> undo = contrary(scene, *item, domain::state_of(view.states, item->id));
    const auto done = done_to_item(scene, id);
    if (!done) return item_page(scene.back(refusal_of(done.error(), field_of(scene, *item))));
    const std::string back = scene.request.form.get("back");
    const std::uint64_t said = scene.say(done.value(), undo);
    if (back == back_to_start) return redirect(url("/?said={}", said));
    if (back == back_to_stage) return redirect(url("/way?stage={}&said={}", item->id.stage, said));
    return redirect(url("/way/{}?said={}", id, said));
}

}  // namespace

void add_item_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/way/{item}", item_page);
    on_post(router, house, "/way/{item}", item_sent);
}

}  // namespace ladderline::node::web
