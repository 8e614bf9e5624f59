// The own card: what every circle of the owner's but the desk is shown.

#include <algorithm>

#include "node/commands/circles.hpp"
#include "node/web/pages/frame.hpp"
#include "protocol/base/comma_list.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::array<std::string_view, 7> weekdays{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};

std::string two(int number) {
    return (number < 10 ? "0" : "") + std::to_string(number);
}

std::string minute_words(std::uint16_t minute) {
    return two(minute / 60) + ":" + two(minute % 60);
}

// As parse_windows reads it.
std::string windows_words(const std::vector<protocol::WeeklyWindow>& windows) {
    std::string out;
    for (const protocol::WeeklyWindow& w : windows) {
        if (w.weekday < 1 || w.weekday > weekdays.size()) continue;
        out += (out.empty() ? "" : ", ") + std::string(weekdays[w.weekday - 1]) + " " + minute_words(w.start_minute) +
               "-" + minute_words(w.end_minute);
    }
    return out;
}

std::vector<Choice> class_choices() {
    std::vector<Choice> out{{"", "none, or not said"}};
    for (const domain::LicenceClass& c : own_rule_book().classes) out.push_back({c.code, c.name});
    return out;
}

Result<Response> card_page(const Scene& scene) {
    TRY(const protocol::CardBody card, own_card(scene.context()));
    const FormOn form(scene, "card");
    Html inside = call_row(form.field("call_sign", "Call sign", card.call_sign,
                                      "It leads strangers to the address in the public register; leave it empty to "
                                      "keep it off the card."));
    inside += list_row(form.field("class", "Licence class", card.licence_class,
                                  "So that helpers and frequencies can be proposed that fit."),
                       class_choices());
    inside += call_row(form.field("locator", "Locator", card.locator, "Cut to four characters, about a county."));
    inside += text_row(form.field("zone", "Time zone", card.zone, "By its usual name: America/New_York"));
    inside += text_row(form.field("times", "When you usually have time, by your own clock", windows_words(card.windows),
                                  "Tue 18:00-21:00, Sat 09:00-12:00"));
    inside += text_row(form.field("bands", "Bands you use", joined(card.bands), "2m, 70cm, 40m"));
    inside += text_row(form.field("topics", "What you can help with", joined(card.topics),
                                  "Commas between: antennas, first contact, Morse"));
    inside += number_row(form.required("room", "Newcomers you have room for", std::to_string(card.room),
                                       "0 is a good answer; five is a comfortable ceiling."),
                         0, 20);
    inside +=
        check_row(form.field("resting", "I am resting: nobody should wait for me now", card.resting ? "yes" : ""));
    inside += button("Save the card");
    Page content;
    content.title = scene.viewer.name.empty() ? "Your card" : "The card of " + scene.viewer.name;
    content.main = html("<p>Everyone in your circles sees it. What they have seen cannot be taken back.</p>{}",
                        form.form(url("/card"), inside));
    if (!scene.viewer.card) {
        content.main += notice(Tone::plain, "Not shown to anybody yet",
                               "You are in no circle with other people. What you write here is kept, and shown when "
                               "you join one.");
    }
    content.side = html("<p><a href=\"{}\">Who is in your circles</a></p>", url("/circles"));
    return show(scene, std::move(content));
}

constexpr std::string_view too_much = "That is more than a card can hold; keep to a few short words.";

bool fits_a_card(const std::vector<std::string>& words) {
    return words.size() <= protocol::limits::list_max && std::all_of(words.begin(), words.end(), [](const auto& word) {
               return word.size() <= protocol::limits::name_bytes_max;
           });
}

struct CardTyped {
    CardRequest request;
    std::optional<Refusal> refusal;
};

CardTyped card_as_typed(const Scene& scene) {
    const FormOn form(scene, "card");
    CardTyped out;
    out.request.call_sign = form.text("call_sign");
    out.request.licence_class = form.text("class");
    out.request.locator = form.text("locator");
    if (const std::string zone = form.text("zone"); !zone.empty()) {
        const auto found = domain::Zone::find(zone);
        if (!found) out.refusal = refusal_of(found.error(), "zone");
        out.request.zone = zone;
    }
    auto windows = parse_windows(form.text("times"));
    if (windows) {
        out.request.windows = std::move(windows).value();
    } else {
        out.refusal = refusal_of(windows.error(), "times");
    }
    const auto room = form.number("room");
    constexpr std::int64_t room_max = 20;
    if (room && *room >= 0 && *room <= room_max) {
        out.request.room = static_cast<std::uint8_t>(*room);
    } else {
        out.refusal = Refusal{400, "Write a whole number of newcomers, 0 to 20.", "room"};
    }
    out.request.topics = parted(form.text("topics"));
    out.request.bands = parted(form.text("bands"));
    out.request.resting = form.text("resting") == "yes";
    if (!fits_a_card(*out.request.topics)) out.refusal = Refusal{400, std::string(too_much), "topics"};
    if (!fits_a_card(*out.request.bands)) out.refusal = Refusal{400, std::string(too_much), "bands"};
    return out;
}

// The form as it would be sent with what the card said.
Undo form_of(const protocol::CardBody& card) {
    Undo out{url("/card"),
             {{"form", "card"},
              {"card-call_sign", card.call_sign},
              {"card-class", card.licence_class},
              {"card-locator", card.locator},
              {"card-zone", card.zone},
              {"card-times", windows_words(card.windows)},
              {"card-bands", joined(card.bands)},
              {"card-topics", joined(card.topics)},
              {"card-room", std::to_string(card.room)}}};
    if (card.resting) out.values.push_back({"card-resting", "yes"});
    out.words = "Undo: as it was before";
    return out;
}

Result<Response> card_sent(const Scene& scene) {
    CardTyped typed = card_as_typed(scene);
    if (typed.refusal) return card_page(scene.back(std::move(*typed.refusal)));
    TRY(const protocol::CardBody before, own_card(scene.context()));
    const auto done = change_card(scene.context(), typed.request);
    if (!done) return card_page(scene.back(refusal_of(done.error())));
    return redirect(url("/card?said={}", scene.say(done.value(), form_of(before))));
}

}  // namespace

void add_card_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/card", card_page);
    on_post(router, house, "/card", card_sent);
}

}  // namespace ladderline::node::web
