// One newcomer, as somebody who helps sees them: everything that can be done for them, on one page.

#include <algorithm>

#include "node/commands/checks.hpp"
#include "node/commands/help.hpp"
#include "node/commands/path_pause.hpp"
#include "node/commands/word_back.hpp"
#include "node/web/pages/bench_parts.hpp"
#include "node/web/pages/contact_parts.hpp"
#include "node/web/pages/item_parts.hpp"
#include "node/web/pages/own_side.hpp"
#include "node/web/pages/pause_notice.hpp"
#include "node/web/pages/word_back.hpp"

namespace ladderline::node::web {
namespace {

std::string who_of(const Scene& scene) {
    return scene.request.params.get("who");
}

Html stages_of(const Scene& scene, const WayView& way) {
    const Html lines = each(way.progress.stages, [&](const domain::StageCount& count) {
        const bool now = way.progress.current_stage == count.stage;
        return html("<li><span class=\"what\">{}. {}</span> <span class=\"days\">{}{} of {}</span></li>", count.stage,
                    stage_title(scene.context().edition, count.stage), now ? "now, " : "",
                    count.ticked + count.is_signed, count.all);
    });
    return html("<ul class=\"waiting\">{}</ul>", lines);
}

Html due_of(const WayView& way) {
    std::vector<Waiting> lines;
    for (const domain::DueLine& line : way.due) {
        if (line.days_left <= far_days)
            lines.push_back({line.sentence, line.hard ? "(a fixed rule)" : "", line.days_left});
    }
    return waiting_list(lines, "No date is running for them now.");
}

Html others_of(const WayView& way) {
    return html("<ul>{}</ul>", each(way.people, [](const PersonView& p) {
                    return html("<li>{}, {}{}</li>", person_name(p.name), seat_words(p.role),
                                p.is_minor ? " (under 18)" : "");
                }));
}

Html contacts_of(const Scene& scene, const WayView& way) {
    constexpr std::size_t shown_max = 5;
    if (way.contacts.empty()) return html("<p class=\"empty\">No contact is written down yet.</p>");
    Html lines;
    for (std::size_t i = 0; i < way.contacts.size() && i < shown_max; ++i) {
        const protocol::ContactBody& c = way.contacts[i].contact;
        lines.add("<li>{} with <a href=\"{}\">{}</a></li>", both_clocks(scene.viewer, c.start),
                  url("/people/{}/contact/{}", key_of(way.owner.id), key_of(way.contacts[i].id)), call_sign(c.worked));
    }
    return html("<ul>{}</ul>", lines);
}

// What they asked for, and the mentor's word that the two were in touch.
Html touch_part(const Scene& scene, const WayView& way) {
    Html out;
    if (!way.help_topic.empty()) {
        out += notice(Tone::plain, "Asks for a hand",
                      way.help_topic + (way.help_since ? ", since " + to_iso(*way.help_since) : ""));
    }
    const bool mentors = std::any_of(way.people.begin(), way.people.end(), [&](const PersonView& p) {
        return p.id == scene.context().me.id() && p.role == protocol::MemberRole::mentor;
    });
    if (mentors) {
        const FormOn form(scene, "touch");
        Html inside = day_row(form.required("day", "We were in touch on", to_iso(scene.context().today())));
        inside += button("Write the day down");
        out += form.form(url("/people/{}/touch", key_of(way.owner.id)), inside);
        if (scene.viewer.is_mentor || scene.viewer.is_officer) {
            out += button_form(scene.request, url("/people/{}/asked", key_of(way.owner.id)),
                               "I asked, and they are fine (the club sees the day)", {});
        }
    }
    return out;
}

Result<Response> bench_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), who_of(scene)));
    const MeetPlace place{key_of(view.owner.id), view};
    Page content;
    content.title = view.owner.name;
    const domain::Item* next = view.progress.next ? scene.context().edition.find(view.progress.next->item) : nullptr;
    content.main = pause_notice(scene, view);
    if (next != nullptr) {
        const bool is_said = view.progress.next->why == consent_over(view, scene.context().today());
        content.main.add("<p>Next step: {}. {}</p>", item_name(*next), is_said ? "" : view.progress.next->why);
    } else {
        content.main.add("<p>{}</p>",
                         view.facts.resting ? "Resting; no next step is pressed." : "No next step of their own.");
    }
    content.main += touch_part(scene, view);
    Html yours = sign_many_form(scene, view);
    yours += waiting_on_me(scene, view);
    content.main.add("<section><h2>Waits for you</h2>{}</section>",
                     yours.empty()
                         ? html("<p class=\"empty\">Nothing waits for you here. When they tick something that "
                                "you may sign, it stands here.</p>")
                         : yours);
    content.main.add(
        "<section><h2>Arranged contacts</h2>{}<details id=\"d-meet\" {}><summary>Arrange a "
        "contact</summary>{}{}</details></section>",
        arranged_list(scene, place), flag("open", wants_meet_form(scene)), meet_form(scene, place),
        meet_advice(scene, place));
    content.main += own_side_form(scene, view);
    content.main += own_sides(scene, view);
    if (const Html assign_rows = assign_form(scene, view); !assign_rows.empty()) {
        content.main.add("<section><h2>Ask for something next</h2>{}</section>", assign_rows);
    }
    const Html signatures = my_signatures(scene, view);
    content.main.add(
        "<section><h2>Your signatures</h2>{}<p><a href=\"{}\">Type a sheet of paper back in</a></p></section>",
        signatures.empty() ? html("<p class=\"empty\">You have signed nothing here yet.</p>") : signatures,
        url("/people/{}/sheet", key_of(view.owner.id)));
    content.side = html(
        "<section><h2>On this path</h2>{}</section><section><h2>Dates</h2>{}</section><section><h2>Latest "
        "contacts</h2>{}</section><section><h2>Arranged before</h2>{}</section><section><h2>The way by "
        "stages</h2>{}<p><a href=\"{}\">The ladder and its edition</a></p></section>",
        others_of(view), due_of(view), contacts_of(scene, view), past_meetings(scene, place), stages_of(scene, view),
        url("/ladder"));
    content.as_of = as_of_words(scene.viewer, view.as_of);
    return show(scene, std::move(content));
}

// Back to the person's page, with what was done or why it was not.
Result<Response> after(const Scene& scene, const Result<Done>& done, std::string field = {},
                       std::optional<Undo> undo = {}) {
    if (!done) return bench_page(scene.back(refusal_of(done.error(), std::move(field))));
    return redirect(url("/people/{}?said={}", who_of(scene), scene.say(done.value(), std::move(undo))));
}

Result<Response> sign_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    const auto day = parse_day(form.text("day"));
    if (!day) return after(scene, day.error(), "day");
    const std::string item = scene.request.form.get("item");
    const Undo undo{url("/people/{}/withdraw", who_of(scene)),
                    {{"form", "undo"}, {"item", item}, {"undo-why", "signed by mistake"}}};
    const SignRequest request{who_of(scene), item, form.text("level"), day.value(), form.text("saw")};
    return after(scene, sign_off(scene.context(), request), {}, undo);
}

std::string numbers_of(const std::vector<domain::ItemId>& items) {
    std::string out;
    for (const domain::ItemId id : items) out += (out.empty() ? "" : ", ") + domain::to_text(id);
    return out;
}

// What was signed, and what is left and why, in one sentence each.
std::string signed_words(const SignedMany& signed_now) {
    if (signed_now.done.empty()) return "None of them was signed.";
    const std::size_t count = signed_now.done.size();
    return std::to_string(count) + (count == 1 ? " item is signed: " : " items are signed: ") +
           numbers_of(signed_now.done) + ".";
}

std::string left_words(const SignedMany& signed_now) {
    std::string out;
    for (const NotSigned& one : signed_now.left) out += " Left: " + domain::to_text(one.item) + ". " + one.why;
    return out;
}

// The form again, with the boxes of what is left still ticked.
Result<Response> sign_many_left(const Scene& scene, const SignedMany& signed_now) {
    const FormOn form = FormOn::sent(scene);
    Request again = scene.request;
    again.form = Fields();
    for (const auto& [name, value] : scene.request.form.entries()) {
        if (name != form.key("items")) again.form.add(name, value);
    }
    for (const NotSigned& one : signed_now.left) again.form.add(form.key("items"), domain::to_text(one.item));
    Refusal why{400, signed_words(signed_now) + left_words(signed_now), "items", !signed_now.done.empty()};
    const Scene back{scene.house, scene.viewer, again, why};
    return bench_page(back);
}

Result<Response> sign_many_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    const auto day = parse_day(form.text("day"));
    if (!day) return after(scene, day.error(), "day");
    SignManyRequest request{who_of(scene), {}, form.text("level"), day.value(), form.text("saw")};
    for (const std::string& one : form.all("items")) {
        TRY(const domain::ItemId id, domain::parse_item_id(one));
        request.items.push_back(id);
    }
    const auto done = sign_many(scene.context(), request);
    if (!done) return after(scene, done.error(), "items");
    if (!done.value().left.empty()) return sign_many_left(scene, done.value());
    return redirect(url("/people/{}?said={}", who_of(scene), scene.say(Told{signed_words(done.value())})));
}

Result<Response> tick_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    const auto day = parse_day(form.text("day"));
    if (!day) return after(scene, day.error(), "day");
    TickRequest request;
    request.who = who_of(scene);
    request.item = scene.request.form.get("item");
    request.day = day.value();
    request.evidence = form.text("evidence");
    return after(scene, tick(scene.context(), request));
}

Result<Response> touch_sent(const Scene& scene) {
    if (const auto touch = word_taken_back(scene)) {
        return after(scene, take_touch_back(scene.context(), who_of(scene), *touch));
    }
    const auto day = parse_day(FormOn(scene, "touch").text("day"));
    if (!day) return after(scene, day.error(), "day");
    const auto done = was_in_touch(scene.context(), who_of(scene), day.value());
    return after(scene, done, "day", undo_of_word(url("/people/{}/touch", who_of(scene)), done));
}

Result<Response> asked_sent(const Scene& scene) {
    if (const auto check = word_taken_back(scene)) return after(scene, take_check_back(scene.context(), *check));
    const auto done = note_checked(scene.context(), who_of(scene), std::nullopt);
    return after(scene, done, {}, undo_of_word(url("/people/{}/asked", who_of(scene)), done));
}

Result<Response> withdraw_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    return after(scene, withdraw(scene.context(), {who_of(scene), scene.request.form.get("item"), form.text("why")}),
                 "why");
}

std::vector<std::string> items_typed(const FormOn& form) {
    std::vector<std::string> out;
    if (const std::string stage = form.text("stage"); !stage.empty()) out.push_back("stage " + stage);
    std::string rest = form.text("items");
    while (!rest.empty()) {
        const std::size_t comma = std::min(rest.find(','), rest.size());
        const std::string one = rest.substr(0, comma);
        const std::size_t from = one.find_first_not_of(" \n\t");
        if (from != std::string::npos) out.push_back(one.substr(from, one.find_last_not_of(" \n\t") + 1 - from));
        rest = comma < rest.size() ? rest.substr(comma + 1) : std::string();
    }
    return out;
}

Result<Response> assign_sent(const Scene& scene) {
    const FormOn form(scene, "assign");
    const AssignRequest request{who_of(scene), items_typed(form)};
    if (request.items.empty()) {
        return after(scene, Error{Fault::bad_input, "Choose a stage, or write which items you ask for."}, "items");
    }
    return after(scene, assign(scene.context(), request), "items");
}

Result<Response> meet_sent(const Scene& scene) {
    MeetAnswer answer = arrange_as_typed(scene, who_of(scene));
    if (!answer.done) return bench_page(scene.back(std::move(answer.refusal)));
    return after(scene, *answer.done);
}

Result<Response> side_sent(const Scene& scene) {
    const auto typed = own_side_typed(scene, who_of(scene));
    if (!typed) return after(scene, typed.error(), "clock");
    const auto done = log_contact(scene.context(), typed.value());
    if (!done) return bench_page(scene.back(refusal_of_contact(scene, typed.value(), done.error())));
    return after(scene, done);
}

Result<Response> outcome_sent(const Scene& scene) {
    const auto done = outcome_as_sent(scene, who_of(scene));
    if (!done) return after(scene, done.error());
    if (scene.request.form.get("outcome") == "made") return after(scene, static_cast<Done>(done.value()));
    return redirect(again_address(who_of(scene), done.value().meeting, scene.say(done.value())));
}

}  // namespace

void add_bench_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/people/{who}", bench_page);
    on_post(router, house, "/people/{who}/sign", sign_sent);
    on_post(router, house, "/people/{who}/sign-many", sign_many_sent);
    on_post(router, house, "/people/{who}/tick", tick_sent);
    on_post(router, house, "/people/{who}/touch", touch_sent);
    on_post(router, house, "/people/{who}/asked", asked_sent);
    on_post(router, house, "/people/{who}/withdraw", withdraw_sent);
    on_post(router, house, "/people/{who}/assign", assign_sent);
    on_post(router, house, "/people/{who}/meet", meet_sent);
    on_post(router, house, "/people/{who}/outcome", outcome_sent);
    on_post(router, house, "/people/{who}/side", side_sent);
}

}  // namespace ladderline::node::web
