// The pages on their owner's telephone: open it, see that it is one's own, and end it.

#include "node/web/pages/frame.hpp"
#include "node/web/phone/fingerprint.hpp"
#include "node/web/phone/phone_door.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::array<std::int32_t, 6> minutes_offered{15, 30, 60, 120, 240, 480};

std::string minutes_words(std::int32_t minutes) {
    if (minutes < 60) return std::to_string(minutes) + " minutes";
    return minutes == 60 ? "1 hour" : std::to_string(minutes / 60) + " hours";
}

std::string end_words(PhoneEnd why) {
    switch (why) {
        case PhoneEnd::by_word:
            return "It was ended by a button or a command.";
        case PhoneEnd::time_up:
            return "Its time was up.";
        case PhoneEnd::locked:
            return "The pages were locked.";
        case PhoneEnd::wrong_links:
            return "Somebody tried " + std::to_string(links_wrong_max) +
                   " wrong links, so it was ended. If that was not you, somebody else is on this network.";
    }
    return {};
}

Html last_part(const Scene& scene, const PhoneState& state) {
    if (!state.ended) return Html();
    return html("<p>The last time ended {}. {}</p>", time_words(scene.viewer, state.ended_at), end_words(*state.ended));
}

Html before_part() {
    return html(
        "<p>For a while these pages can be opened on your own telephone, when it is on the same local network as this "
        "machine. They are then as open there as here: whoever holds the telephone sees all that you see.</p><p>Do it "
        "at home, on a network that is yours. Not in a cafe, a hotel, a school or a club house, where others "
        "are on the network, too.</p>");
}

// Nothing is chosen before: where a door is opened is said by whoever opens it.
Html open_form(const Scene& scene, const std::vector<OwnAddress>& own) {
    if (own.empty()) {
        return html(
            "<p class=\"empty\">This machine is on no local network just now. Join the one that your telephone is on, "
            "and look again.</p>");
    }
    const FormOn form(scene, "open");
    std::vector<Choice> places;
    for (const OwnAddress& one : own) {
        places.push_back({one.address.to_string(), one.address.to_string() + " (" + one.network + ")"});
    }
    std::vector<Choice> times;
    for (const std::int32_t minutes : minutes_offered) {
        times.push_back({std::to_string(minutes), minutes_words(minutes)});
    }
    Html rows = radio_rows(form.required("address", "At which address of this machine"), places);
    rows += list_row(form.required("minutes", "For how long", std::to_string(phone_minutes)), times);
    rows += button("Open for my phone");
    return form.form(url("/phone/open"), rows);
}

Html link_part(const PhoneState& state) {
    return html(
        "<section><h2>1. Let it in</h2><p>Point the telephone's camera at the picture, or type the link in the browser "
        "that you want to use there. It lets one browser in, once.</p><p class=\"code\" translate=\"no\">{}</p>{}"
        "</section>",
        state.link, qr_drawing(state.link));
}

Html fingerprint_part(const PhoneState& state) {
    return html(
        "<section><h2>2. Compare before you go on</h2><p>The telephone will warn you that it does not know this page. "
        "That is so with every page that no company vouches for, and it is the moment to look twice: on a network "
        "somebody else could stand in between. Open the certificate from the warning (\"Details\", \"Advanced\", "
        "\"View certificate\", or the lock beside the address) and compare.</p><dl><dt>Name</dt><dd "
        "translate=\"no\">Ladderline {}</dd><dt>SHA-256 fingerprint</dt><dd class=\"code\" "
        "translate=\"no\">{}</dd></dl><p>Another name is another share, or another machine. The same name proves "
        "nothing yet, because anybody can copy it; the fingerprint nobody can copy. The first four and the last four "
        "pairs are enough. <strong>If one differs, do not go on</strong>, and end it here.</p></section>",
        state.name,
        each(fingerprint_rows(state.fingerprint), [](const std::string& row) { return html("{}<br>", row); }));
}

Html browser_part(const Scene& scene, const PhoneState& state) {
    Html out;
    if (state.browser) {
        out.add("<p>{}</p><p>If that was not you, end it now.</p>",
                state_mark(Mark::signed_off, "A browser is in, from " + state.browser->address + ", since " +
                                                 time_words(scene.viewer, state.browser->when) + "."));
    }
    if (state.second) {
        out += notice(Tone::caution, "The link was used a second time",
                      "It was refused, at " + time_words(scene.viewer, state.second->when) + ", to somebody at " +
                          state.second->address + ". If that was not you, somebody else knows the link: end it.");
    }
    if (state.wrong > 0) {
        out.add("<p>{} wrong {} tried. After {} it ends by itself.</p>", state.wrong,
                state.wrong == 1 ? "link was" : "links were", links_wrong_max);
    }
    return out;
}

Html open_part(const Scene& scene, const PhoneState& state) {
    Html out = html("<p>Open at {}, port {}, until {}.</p>", state.address, static_cast<int>(state.port),
                    time_words(scene.viewer, state.until));
    out += browser_part(scene, state);
    // Not on the telephone itself: a browser that is let in needs no link, and one in between must not see it.
    if (!scene.request.on_phone && !state.link.empty()) {
        out += link_part(state);
        out += fingerprint_part(state);
    }
    out += button_form(scene.request, url("/phone/shut"), "End it");
    return out;
}

Result<Response> phone_page(const Scene& scene) {
    const PhoneDoor& door = *scene.house.phone;
    Page content;
    content.title = "My phone";
    content.live_topics = {std::string(phone_topic)};
    if (door.state().is_open) {
        content.main = open_part(scene, door.state());
    } else {
        content.main = before_part();
        content.main += last_part(scene, door.state());
        content.main += open_form(scene, door.addresses());
    }
    content.side = html(
        "<h2>What stays here</h2><p>From a telephone nobody leaves a circle, takes anything back for good, gives "
        "seats, makes codes that let others in, or takes in files. The rest is the same as here.</p><p>It ends by "
        "itself when its time is up, with \"Lock these pages\", and with the program. A new one has a new link and a "
        "new certificate.</p>");
    return show(scene, std::move(content), Live::no);
}

Result<Response> open_door(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    PhoneOptions options;
    options.address = form.text("address");
    options.minutes =
        static_cast<std::int32_t>(std::clamp<std::int64_t>(form.number("minutes").value_or(0), 0, 100'000));
    const Result<void> opened = scene.house.phone->open(options);
    if (!opened) return phone_page(scene.back(refusal_of(opened.error(), "address")));
    return redirect(url("/phone"));
}

Result<Response> shut_door(const Scene& scene) {
    scene.house.phone->shut(PhoneEnd::by_word);
    if (!scene.request.on_phone) return redirect(url("/phone"));
    return sentence_page(200, "Ended",
                         "These pages are no longer open here. The person at the machine opens them again, with a new "
                         "link.");
}

}  // namespace

void add_phone_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/phone", phone_page);
    on_post(router, house, "/phone/open", open_door);
    on_post(router, house, "/phone/shut", shut_door);
}

}  // namespace ladderline::node::web
