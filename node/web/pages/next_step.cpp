// The newcomer's first page: the one next step, what is waited for, what is arranged, what was heard, how far.

#include <algorithm>

#include "node/commands/circles.hpp"
#include "node/commands/help.hpp"
#include "node/commands/path_pause.hpp"
#include "node/commands/who_ticks.hpp"
#include "node/web/pages/item_parts.hpp"
#include "node/web/pages/meet_parts.hpp"
#include "node/web/pages/page_words.hpp"
#include "node/web/pages/pair_parts.hpp"
#include "node/web/pages/pause_notice.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t contacts_shown = 5;

std::optional<std::int32_t> days_left(const WayView& way, domain::Due what) {
    for (const domain::DueLine& line : way.due) {
        if (line.what == what) return line.days_left;
    }
    return std::nullopt;
}

std::optional<std::int32_t> days_left(const WayView& way, domain::Awaited what) {
    if (what == domain::Awaited::grant) return days_left(way, domain::Due::grant_expected);
    return std::nullopt;
}

// What is years off can wait, and the grant stands among what is waited for once the fee is paid.
bool concerns_newcomer(const WayView& way, const domain::DueLine& line) {
    const bool grant_awaited = std::any_of(way.progress.waiting.begin(), way.progress.waiting.end(),
                                           [](const domain::Waiting& w) { return w.what == domain::Awaited::grant; });
    if (line.what == domain::Due::grant_expected && grant_awaited) return false;
    return line.days_left <= far_days;
}

Html waiting_part(const Scene& scene, const WayView& way) {
    std::vector<Waiting> lines;
    for (const domain::Waiting& w : way.progress.waiting)
        lines.push_back({page_words_plain(scene.viewer, w.sentence), "", days_left(way, w.what)});
    return waiting_list(lines, "Nothing: nobody owes you a signature, a paper or an answer.");
}

Html dates_part(const Scene& scene, const WayView& way) {
    std::vector<Waiting> lines;
    for (const domain::DueLine& line : way.due) {
        if (!concerns_newcomer(way, line)) continue;
        lines.push_back(
            {page_words_plain(scene.viewer, line.sentence), line.hard ? "(a fixed rule)" : "", line.days_left});
    }
    return waiting_list(lines, "No date is running for you now.");
}

Html resting_card(const Scene& scene) {
    return next_step_card("Nothing: you are resting",
                          html("<p>Your way waits as it is, and nobody presses you. Hard dates still stand below.</p>"),
                          button_form(scene.request, url("/rest"), "Go on", {{"rest", "no"}}));
}

Html step_card(const Scene& scene, const WayView& way) {
    if (way.facts.resting) return resting_card(scene);
    if (!way.progress.next) {
        const bool waits = !way.progress.waiting.empty();
        return next_step_card(
            waits ? "Nothing from you: others are at work" : "Nothing is left to do",
            waits ? html("<p>What you wait for stands below.</p>")
                  : html("<p>Every item of your way is done or set aside. You may well help others along now.</p>"),
            html("<a class=\"button\" href=\"{}\">Look at the whole way</a>", url("/way")));
    }
    const domain::Item* item = scene.context().edition.find(way.progress.next->item);
    ENSURE(item != nullptr);
    Html why = html("<p>{} Stage {}: {}.</p>", way.progress.next->why, item->id.stage,
                    stage_title(scene.context().edition, item->id.stage));
    if (!item->note.empty()) why.add("<p class=\"help\">{}.</p>", item->note);
    why += caution_for(*item);
    Html action;
    if (is_own_tick(scene.context(), way, *item)) {
        action = tick_form(scene, way, *item, back_to_start);
    } else {
        action = html("<p>{}</p>", page_words(scene.viewer, who_ticks(scene.context(), way, *item)));
    }
    action.add("<p><a href=\"{}\">More about this item, or skip it</a></p>", url("/way/{}", domain::to_text(item->id)));
    return next_step_card(item->text, why, action);
}

Html contacts_part(const Scene& scene, const WayView& way) {
    if (way.contacts.empty()) {
        return html(
            "<p class=\"empty\">No contact is written down yet. As a guest of a licensed operator you may have "
            "one before any exam.</p><p><a href=\"{}\">Write a contact down</a></p>",
            url("/contact"));
    }
    Html lines;
    for (std::size_t i = 0; i < way.contacts.size() && i < contacts_shown; ++i) {
        const protocol::ContactBody& c = way.contacts[i].contact;
        lines.add("<li>{} with {}, {} {}</li>", both_clocks(scene.viewer, c.start), call_sign(c.worked),
                  c.frequency.empty() ? c.band : c.frequency + " MHz", c.mode);
    }
    return html("<ul>{}</ul><p><a href=\"{}\">All contacts, or write one down</a></p>", lines, url("/contact"));
}

// Asking for a hand, or what was asked.
Html hand_part(const Scene& scene, const WayView& way) {
    if (!way.help_topic.empty()) {
        return html("<p>You asked: {}</p>{}", way.help_topic,
                    button_form(scene.request, url("/ask"), "It is settled", {{"settled", "yes"}}));
    }
    const FormOn form(scene, "ask");
    Html inside = text_row(form.required("topic", "What with, in a few words", "",
                                         "Those on your path see it; so does your club, if you share with it."));
    inside += button("Ask");
    return form.form(url("/ask"), inside);
}

Html stages_part(const Scene& scene, const WayView& way) {
    const Html lines = each(way.progress.stages, [&](const domain::StageCount& count) {
        const std::string title = stage_title(scene.context().edition, count.stage);
        const bool now = way.progress.current_stage == count.stage;
        return html("<li><a href=\"{}\">{}. {}</a> <span class=\"days\">{}{} of {}</span></li>",
                    url("/way?stage={}", count.stage), count.stage, title, now ? "now, " : "",
                    count.ticked + count.is_signed, count.all);
    });
    return html("<ul class=\"waiting\">{}</ul>", lines);
}

Result<Response> rest_sent(const Scene& scene) {
    CardRequest request;
    request.resting = scene.request.form.get("rest") == "yes";
    TRY(Done done, change_card(scene.context(), request));
    done.sentence = *request.resting ? "You are resting. No reason is asked, and you go on whenever you like."
                                     : "Welcome back; your next step stands below.";
    const Undo undo{url("/rest"), {{"rest", *request.resting ? "no" : "yes"}}};
    return redirect(url("/?said={}", scene.say(done, undo)));
}

Result<Response> ask_sent(const Scene& scene) {
    const bool settled = scene.request.form.get("settled") == "yes";
    const std::string topic = settled ? "" : FormOn(scene, "ask").text("topic");
    if (!settled && topic.empty()) {
        return newcomer_page(scene.back({400, "Say in a few words what you need a hand with.", "topic"}));
    }
    const Result<Done> done = ask_for_help(scene.context(), topic, std::nullopt);
    if (!done) return newcomer_page(scene.back(refusal_of(done.error(), "topic")));
    return redirect(url("/?said={}", scene.say(done.value())));
}

}  // namespace

Result<Response> newcomer_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), ""));
    Page content;
    content.title = view.owner.name.empty() ? "Next step" : "Next step for " + view.owner.name;
    const bool is_said = view.progress.next && view.progress.next->why == consent_over(view, scene.context().today());
    if (!is_said) content.main = pause_notice(scene, view);
    content.main += step_card(scene, view);
    content.main += pairing_notice(scene);
    content.main.add("<section><h2>Waiting for</h2>{}</section>", waiting_part(scene, view));
    content.main.add("<section><h2>Arranged contacts</h2>{}<p><a href=\"{}\">Arrange a contact</a></p></section>",
                     arranged_list(scene, {"", view}), url("/meet"));
    content.main.add("<section><h2>Dates that run</h2>{}</section>", dates_part(scene, view));
    content.main.add("<section><h2>Latest contacts</h2>{}</section>", contacts_part(scene, view));
    content.main.add("<section><h2>Need a hand?</h2>{}</section>", hand_part(scene, view));
    content.side = html("<section><h2>The way by stages</h2>{}</section>", stages_part(scene, view));
    if (!scene.viewer.club) {
        content.side.add(
            "<section><h2>Your club or your mentor</h2><p><a href=\"{}\">I was given a code, or somebody "
            "waits for my call</a></p></section>",
            url("/join"));
    }
    if (!view.facts.resting) {
        content.side.add("<section><h2>Too much just now?</h2>{}</section>",
                         button_form(scene.request, url("/rest"), "Rest for a while", {{"rest", "yes"}}));
    }
    content.as_of = as_of_words(scene.viewer, view.as_of);
    return show(scene, std::move(content));
}

void add_start_pages(Router& router, const std::shared_ptr<House>& house) {
    on_post(router, house, "/rest", rest_sent);
    on_post(router, house, "/ask", ask_sent);
}

}  // namespace ladderline::node::web
