// The other side of joining by voice: a door that is open for one person, ten minutes at most, and the six words by
// which the two know that nobody is between them.

#include "node/commands/joining.hpp"
#include "node/commands/spoken.hpp"
#include "node/web/pages/frame.hpp"
#include "protocol/handshake/check_words.hpp"

namespace ladderline::node::web {
namespace {

using protocol::CircleKind;
using Stage = GreetLook::Stage;

constexpr std::size_t letters_typed = 2;
constexpr std::int64_t minute_ms = 60'000;

Html open_form(const Scene& scene, CircleKind kind) {
    const bool path = kind == CircleKind::path;
    const FormOn form(scene, path ? "open-path" : "open-club");
    const std::vector<Choice> seats = seat_choices(kind);
    Html inside = hidden("circle", path ? "path" : "club");
    inside += radio_rows(form.required("role", "Seat", seats.front().value), seats);
    inside += list_row(form.required("level", "Highest level of a skill they may sign", "3"), level_choices());
    inside += button("Open the door for one person");
    return html("<section><h2>{}</h2>{}</section>", path ? "Onto your path" : "Into the club",
                form.form(url("/greet/open"), inside));
}

Html shut_button(const Scene& scene) {
    return button_form(scene.request, url("/greet/shut"), "Let nobody in");
}

Html waiting_part(const Scene& scene, const GreetLook& look) {
    const std::int64_t minutes = (look.left_ms + minute_ms - 1) / minute_ms;
    return html(
        "<section><h2>Waiting for one person</h2>{}<p>For {} more. On their page \"Join a circle\" they write this "
        "address under \"Somebody waits for my call\":</p><p class=\"code\" translate=\"no\">{}</p><p>In a terminal: "
        "<code>ladderline join {} --by-voice</code></p><p>This page changes when they have called.</p>{}</section>",
        look.warning.empty() ? Html() : notice(Tone::caution, "A comparison failed", look.warning),
        minutes == 1 ? std::string("a minute") : std::to_string(minutes) + " minutes", look.address, look.address,
        shut_button(scene));
}

Html comparing_part(const Scene& scene, const GreetLook& look) {
    const FormOn form(scene, "heard");
    Html inside = text_row(form.required("letters", "The last two, as you heard them", "",
                                         "Two letters as XY, or the words as X-ray Yankee"));
    inside += button("Compare");
    return html(
        "<section><h2>Somebody has called</h2><p>Let them read six words to you. The first four must be:</p><p "
        "class=\"code\" translate=\"no\">{}</p>{}{}{}</section>",
        protocol::itu_spelling(look.letters), form.form(url("/greet/heard"), inside),
        button_form(scene.request, url("/greet/differ"), "The words differ"), shut_button(scene));
}

Html answered_part(const Scene& scene, const GreetLook& look) {
    return html(
        "<section><h2>That is right</h2><p>Now read all six words to them:</p><p class=\"code\" "
        "translate=\"no\">{}</p><p>They are let in when they have said that theirs are the same.</p>{}</section>",
        protocol::itu_spelling(look.letters), shut_button(scene));
}

// What came of the last greeting, above the forms for another.
Html outcome_part(const GreetLook& look) {
    switch (look.stage) {
        case Stage::joined:
            return notice(Tone::done, "Let in",
                          look.outcome +
                              " was let in. You compared the check words by voice, which the page of circles "
                              "shows from now on.");
        case Stage::refused:
            return notice(Tone::problem, "Nobody was let in", "The words were the same, but: " + look.outcome);
        case Stage::locked:
            return notice(Tone::problem, "The door is locked", look.warning);
        case Stage::over:
            return notice(Tone::plain, "Nobody came in time", "The door is shut. Open it again when they are ready.");
        default:
            return Html();
    }
}

Html forms_part(const Scene& scene, const GreetLook& look) {
    Html out = outcome_part(look);
    if (scene.house.arrivals == nullptr) {
        out.add(
            "<p class=\"empty\">No node runs here that anybody could call; start it with <code>ladderline "
            "run</code>.</p>");
        return out;
    }
    if (scene.viewer.path) out += open_form(scene, CircleKind::path);
    if (scene.viewer.is_officer) out += open_form(scene, CircleKind::club);
    if (!scene.viewer.path && !scene.viewer.is_officer) {
        out.add(
            "<p class=\"empty\">You have no path of your own and are no officer of a club, so there is nothing here "
            "into which you could let somebody.</p>");
    }
    return out;
}

Html state_part(const Scene& scene, const GreetLook& look) {
    if (look.stage == Stage::waiting) return waiting_part(scene, look);
    if (look.stage == Stage::comparing) return comparing_part(scene, look);
    if (look.stage == Stage::answered) return answered_part(scene, look);
    return forms_part(scene, look);
}

Result<Response> greet_page(const Scene& scene) {
    Page content;
    content.title = "Let somebody in by voice";
    content.main =
        state_part(scene, scene.house.arrivals == nullptr ? GreetLook{} : scene.house.arrivals->greet_look());
    content.side = html(
        "<section><h2>How it goes</h2><p>No code goes through anybody's hands. You open the door for one person and "
        "ten "
        "minutes; they call your address; each of you sees six words, and you compare them by telephone or face to "
        "face. The words may be read over the air: they are no secret. Three comparisons that fail lock the door.</p>"
        "</section>");
    content.live_topics = {std::string(arrivals_topic)};
    return show(scene, std::move(content), Live::no);
}

Result<Response> after(const Scene& scene, const Result<void>& done, std::string field = {}) {
    if (!done) return greet_page(scene.back(refusal_of(done.error(), std::move(field))));
    return redirect(url("/greet"));
}

Result<void> open_as_sent(const Scene& scene, Arrivals& arrivals) {
    const FormOn form = FormOn::sent(scene);
    InviteRequest request;
    request.circle = scene.request.form.get("circle") == "club" ? CircleKind::club : CircleKind::path;
    TRY(request.role, parse_role(form.text("role")));
    TRY(request.level, level_typed(form));
    return arrivals.open_greeting(request);
}

Result<void> heard_as_sent(const Scene& scene, Arrivals& arrivals) {
    TRY(const std::string letters, spoken_letters(FormOn(scene, "heard").text("letters"), letters_typed));
    return arrivals.hear(letters);
}

using Deed = Result<void> (*)(const Scene&, Arrivals&);

SceneHandler deed(Deed work, std::string field = {}) {
    return [work, field](const Scene& scene) -> Result<Response> {
        if (scene.house.arrivals == nullptr) {
            return Error{Fault::refused, "No node runs here that anybody could call; nothing was changed."};
        }
        return after(scene, work(scene, *scene.house.arrivals), field);
    };
}

}  // namespace

void add_greet_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/greet", greet_page);
    on_post(router, house, "/greet/open", deed(open_as_sent));
    on_post(router, house, "/greet/heard", deed(heard_as_sent, "letters"));
    on_post(router, house, "/greet/differ", deed([](const Scene&, Arrivals& arrivals) { return arrivals.differ(); }));
    on_post(router, house, "/greet/shut", deed([](const Scene&, Arrivals& arrivals) -> Result<void> {
                arrivals.shut_greeting();
                return ok();
            }));
}

}  // namespace ladderline::node::web
