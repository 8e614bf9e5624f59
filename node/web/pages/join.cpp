// Joining by an invite code, or by check words compared by voice: what a code says before anybody is called, how far a
// call is, and into which circle it led.

#include <algorithm>

#include "node/commands/joining.hpp"
#include "node/web/pages/frame.hpp"
#include "protocol/handshake/check_words.hpp"

namespace ladderline::node::web {
namespace {

using protocol::CircleKind;
using Step = JoinLook::Step;

constexpr std::size_t code_chars_max = 1000;
constexpr std::string_view no_node =
    "No node runs here that could call anybody, so nothing was joined; start it with 'ladderline run'.";

JoinLook look_of(const Scene& scene) {
    return scene.house.arrivals == nullptr ? JoinLook{} : scene.house.arrivals->join_look();
}

// Whoever said so at the beginning is not asked again.
Result<Html> age_row(const Scene& scene, const FormOn& form) {
    TRY(const Joiner who, joiner(scene.context()));
    if (who.is_minor)
        return html(
            "<p>It says there, too, that you are under 18. In a club each member's machine "
            "holds that from then on; it is shown to the officers and to those on your path.</p>");
    return check_row(form.field("under-18", "I am under 18", "",
                                "Then a guardian comes first, and nobody is alone with one adult."));
}

// What is known before anybody is called, and the button that calls.
Result<Html> confirm_part(const Scene& scene, const InviteCode& code) {
    TRY(const Joiner who, joiner(scene.context()));
    const FormOn form(scene, "confirm");
    TRY(Html inside, age_row(scene, form));
    inside += button("Join");
    return html(
        "<section><h2>Is it the right code?</h2><p>It is whole, and leads to the program at <code>{}</code>. Who is "
        "there, and into which circle it lets you, the program there says when it has seen the code.</p><p>The check "
        "words of this code:</p><p><strong translate=\"no\">{}</strong></p><p>Whoever gave you the code sees the same "
        "words beside it. If it came by e-mail, or through other hands, call them and read the words to them; if "
        "theirs "
        "differ, do not join: somebody has changed the code.</p><p>They are told your name here, <strong>{}</strong>, "
        "and this machine's keys. Nothing else goes there by itself.</p>{}{}</section>",
        code.address, protocol::itu_spelling(check_letters_of(code)), who.name, form.form(url("/join/confirm"), inside),
        button_form(scene.request, url("/join/drop"), "Not this code; take another"));
}

Result<Html> call_form(const Scene& scene, const std::string& address) {
    const FormOn form(scene, "call");
    Html inside = text_row(form.required("address", "Address of their program", address,
                                         "They read it to you; host and port: 192.168.1.20:7300"));
    TRY(const Html age, age_row(scene, form));
    inside += age;
    inside += button("Call them");
    return form.form(url("/join/call"), inside);
}

Html comparing_part(const Scene& scene, const JoinLook& look) {
    return html(
        "<section><h2>Compare six words</h2><p>By telephone or face to face, read these six words to them, "
        "slowly:</p><p class=\"code\" translate=\"no\">{}</p><p>Then let them read all six to you. Nothing about you "
        "is "
        "told before both of you have said that they are the same.</p>{}{}</section>",
        protocol::itu_spelling(look.letters),
        button_form(scene.request, url("/join/word"), "They are the same", {{"same", "yes"}}),
        button_form(scene.request, url("/join/word"), "They differ", {{"same", "no"}}));
}

// Name, seat and people of the circle, as far as they have come.
Result<Html> circle_now(const Scene& scene, const JoinLook& look) {
    TRY(const auto persons, people(scene.context().db, look.circle));
    const auto named = [&](const protocol::MemberId& id) {
        return std::find_if(persons.begin(), persons.end(), [&](const PersonView& p) { return p.id == id; });
    };
    const auto me = named(scene.context().me.id());
    const auto host = named(look.host);
    if (me == persons.end() || host == persons.end()) {
        return html(
            "<p>The program there let you in. The circle's name and its people come with the first sync, in a moment; "
            "this page then shows them.</p>");
    }
    std::string title;
    TRY(const auto all, circles(scene.context().db));
    for (const CircleView& circle : all) {
        if (circle.id != look.circle) continue;
        title = circle.kind == CircleKind::club ? "the club " + circle.name : "the path of " + circle.name;
        if (circle.kind == CircleKind::desk) title = "a desk";
    }
    return html(
        "<p>{} let you in: you are in {} now, with the seat of {}. {} there with you.</p><p>Is it not whom you "
        "expected? "
        "Then <a href=\"{}\">leave again</a>, and ask.</p>",
        person_name(host->name), title, seat_words(me->role),
        persons.size() == 2 ? std::string("One person is") : std::to_string(persons.size() - 1) + " people are",
        url("/goings"));
}

Result<Html> joined_part(const Scene& scene, const JoinLook& look) {
    TRY(const Html circle, circle_now(scene, look));
    return notice(Tone::done, "You have joined",
                  html("{}<p><a class=\"button\" href=\"{}\">Go on</a></p><p><a href=\"{}\">Who sees what</a>, <a "
                       "href=\"{}\">what your card shows them</a></p>{}",
                       circle, url("/"), url("/circles"), url("/card"),
                       button_form(scene.request, url("/join/drop"), "Join another circle")));
}

Result<Html> forms_part(const Scene& scene, const JoinLook& look) {
    Html out;
    if (look.step == Step::failed) out = notice(Tone::problem, "Nothing was joined", look.sentence);
    if (scene.house.code_read) {
        TRY(const Html confirm, confirm_part(scene, *scene.house.code_read));
        return out += confirm;
    }
    TRY(const Html call, call_form(scene, look.step == Step::failed ? look.address : std::string()));
    out.add(
        "<section><h2>I was given a code</h2>{}</section><section><h2>Somebody waits for my call</h2><p>No code is "
        "needed: they open their door for one person, your programs meet, and you two compare six words by "
        "voice.</p>{}</section>",
        code_form(scene), call);
    return out;
}

Result<Html> state_part(const Scene& scene, const JoinLook& look) {
    switch (look.step) {
        case Step::calling:
            return notice(Tone::plain, "Calling",
                          "The program at " + look.address +
                              " is called; that takes a quarter of a minute at most. Look again "
                              "if this page does not change by itself.");
        case Step::comparing:
            return comparing_part(scene, look);
        case Step::answered:
            return notice(Tone::plain, "Waiting for their word",
                          "You said that the six words are the same. When they have said so as well, you are in.");
        case Step::joined:
            return joined_part(scene, look);
        case Step::none:
        case Step::failed:
            break;
    }
    return forms_part(scene, look);
}

Result<Response> join_page(const Scene& scene) {
    Page content;
    content.title = "Join a circle";
    TRY(content.main, state_part(scene, look_of(scene)));
    content.side = html(
        "<section><h2>Your passphrase</h2><p>Nobody needs it for this, and no page asks for it. Whoever asks you for "
        "it "
        "is not your club.</p></section><section><h2>Never over amateur frequencies</h2><p>The programs meet over the "
        "local network or the internet. The six words may be read over the air: they are no secret.</p></section>");
    content.live_topics = {std::string(any_circle_topic), std::string(arrivals_topic)};
    return show(scene, std::move(content), Live::no);
}

Result<Response> after(const Scene& scene, const Result<void>& done, std::string field = {}) {
    if (!done) return join_page(scene.back(refusal_of(done.error(), std::move(field))));
    return redirect(url("/join"));
}

Result<Response> code_sent(const Scene& scene) {
    auto code = parse_code(FormOn(scene, "code").text("code"));
    if (!code) return after(scene, code.error(), "code");
    if (scene.house.arrivals != nullptr) scene.house.arrivals->forget();
    scene.house.code_read = std::move(code).value();
    return redirect(url("/join"));
}

bool is_ticked_minor(const Scene& scene, const char* form) {
    return FormOn(scene, form).text("under-18") == "yes";
}

Result<void> confirm_as_sent(const Scene& scene) {
    if (!scene.house.code_read) return Error{Fault::not_found, "Take the code in first; nothing was joined."};
    if (scene.house.arrivals == nullptr) return Error{Fault::refused, std::string(no_node)};
    return scene.house.arrivals->join_by_code(*scene.house.code_read, is_ticked_minor(scene, "confirm"));
}

Result<void> call_as_sent(const Scene& scene) {
    const std::string address = FormOn(scene, "call").text("address");
    if (address.find("LADDER-") != std::string::npos) {
        return Error{Fault::bad_input, "That is a code and not an address; it belongs into the form above."};
    }
    if (scene.house.arrivals == nullptr) return Error{Fault::refused, std::string(no_node)};
    return scene.house.arrivals->join_by_voice(address, is_ticked_minor(scene, "call"));
}

Result<void> word_as_sent(const Scene& scene) {
    if (scene.house.arrivals == nullptr) return Error{Fault::refused, std::string(no_node)};
    return scene.house.arrivals->say(scene.request.form.get("same") == "yes");
}

Result<Response> drop_sent(const Scene& scene) {
    scene.house.code_read.reset();
    if (scene.house.arrivals != nullptr) scene.house.arrivals->forget();
    return redirect(url("/join"));
}

}  // namespace

Html code_form(const Scene& scene) {
    const FormOn form(scene, "code");
    Field field = form.required("code", "The code", "",
                                "It begins with LADDER-. Paste it, or type it; capitals, blanks and line ends do not "
                                "matter.");
    field.chars_max = code_chars_max;
    Html inside = area_row(field, 3);
    inside += button("Look at this code");
    return form.form(url("/join/code"), inside);
}

void add_join_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/join", join_page);
    on_post(router, house, "/join/code", code_sent);
    on_post(router, house, "/join/confirm", [](const Scene& scene) { return after(scene, confirm_as_sent(scene)); });
    on_post(router, house, "/join/call",
            [](const Scene& scene) { return after(scene, call_as_sent(scene), "address"); });
    on_post(router, house, "/join/word", [](const Scene& scene) { return after(scene, word_as_sent(scene)); });
    on_post(router, house, "/join/drop", drop_sent);
}

}  // namespace ladderline::node::web
