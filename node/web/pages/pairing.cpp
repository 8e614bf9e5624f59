// The pairing of this node's owner: what is proposed, how it goes, and what they wish.

#include <algorithm>

#include "node/commands/pair_requests.hpp"
#include "node/commands/pair_reviews.hpp"
#include "node/commands/pair_wishes.hpp"
#include "node/web/pages/final_form.hpp"
#include "node/web/pages/pair_parts.hpp"
#include "protocol/base/comma_list.hpp"

namespace ladderline::node::web {
namespace {

using protocol::PairingStep;
using protocol::PairingWord;

constexpr std::array<std::pair<const char*, const char*>, 3> questions{{
    {"time", "Finding time for each other"},
    {"ahead", "Getting ahead, step by step"},
    {"together", "Getting on with each other"},
}};

std::vector<Choice> answers() {
    return {{"well", "Goes well"}, {"talk", "Needs a talk"}, {"end", "Let us end it"}};
}

std::optional<PairingWord> word_of(const std::string& value) {
    if (value == "well") return PairingWord::goes_well;
    if (value == "talk") return PairingWord::needs_a_talk;
    if (value == "end") return PairingWord::let_us_end;
    return std::nullopt;
}

const PersonView* find(const std::vector<PersonView>& persons, const protocol::MemberId& id) {
    const auto found = std::find_if(persons.begin(), persons.end(), [&](const PersonView& p) { return p.id == id; });
    return found == persons.end() ? nullptr : &*found;
}

Html card_line(const std::vector<PersonView>& persons, const PairOfMine& pair) {
    const PersonView* person = find(persons, pair.other);
    if (person == nullptr || !person->card) return html("<p class=\"help\">There is no card of theirs yet.</p>");
    const protocol::CardBody& card = *person->card;
    std::vector<std::string> parts;
    if (!card.topics.empty())
        parts.push_back((pair.as_mentor ? "would like help with " : "helps with ") + joined(card.topics));
    if (!card.bands.empty()) parts.push_back("on " + joined(card.bands));
    if (!card.locator.empty()) parts.push_back("square " + card.locator);
    return html("<p class=\"help\">{}</p>",
                parts.empty() ? std::string("Their card says nothing more.") : "Their card: " + joined(parts) + ".");
}

Html proposal_part(const Scene& scene, const std::vector<PersonView>& persons, const PairOfMine& pair) {
    Html out = html("<p><strong>{}</strong> {} <span class=\"whom\">proposed {}</span></p>",
                    person_name(pair.other_name), pair.as_mentor ? "as your newcomer" : "as your mentor",
                    days_ago_words(pair.since, scene.context().today()));
    out += card_line(persons, pair);
    if (pair.noted_apart) {
        out.add("<p>{}</p>", state_mark(Mark::caution, "You noted that you would rather not be paired with them."));
    }
    if (pair.they_said_yes) out.add("<p>{} said yes.</p>", person_name(pair.other_name));
    if (pair.i_said_yes) {
        out.add("<p>{}</p>", state_mark(Mark::waiting, "You said yes; " + pair.other_name + " has not answered yet."));
    } else {
        out += button_form(scene.request, url("/pairing/answer"), "Yes, with " + pair.other_name,
                           {{"other", key_of(pair.other)}, {"answer", "yes"}});
    }
    out += button_form(scene.request, url("/pairing/answer"), "Rather not with " + pair.other_name,
                       {{"other", key_of(pair.other)}, {"answer", "no"}});
    return html("<li>{}</li>", out);
}

Html proposals_part(const Scene& scene, const std::vector<PersonView>& persons, const std::vector<PairOfMine>& all) {
    Html lines;
    std::size_t count = 0;
    bool is_newcomer = true;
    for (const PairOfMine& pair : all) {
        if (pair.step != PairingStep::proposed) continue;
        is_newcomer = !pair.as_mentor;
        lines += proposal_part(scene, persons, pair);
        count += 1;
    }
    if (count == 0) return Html();
    return html(
        "<section><h2>A pairing is proposed</h2><p>{}Both of you answer. You need give no reason, and a \"rather not\" "
        "is counted nowhere.</p><ul class=\"arranged\">{}</ul></section>",
        count > 1 && is_newcomer ? "Choose one of them. " : "", lines);
}

Html review_form(const Scene& scene, const PairOfMine& pair) {
    const FormOn form(scene, "review-" + key_of(pair.other).substr(0, 12));
    Html inside = hidden(form.key("other"), key_of(pair.other));
    for (const auto& [name, label] : questions) inside += radio_rows(form.required(name, label), answers());
    inside += button("Say how it goes");
    return html(
        "<h3>After {} days: how does it go?</h3><p>Three short questions. The most serious of your answers is kept, "
        "as one word and without a text: {} and the officers are shown it, and every member's node holds it.</p>{}",
        pair.review->after_days, person_name(pair.other_name), form.form(url("/pairing/review"), inside));
}

std::string said_words(const std::optional<PairingWord>& word) {
    return word ? std::string(in_words(*word)) : std::string("not answered yet");
}

Html review_part(const Scene& scene, const PairOfMine& pair) {
    Html out;
    if (pair.review_waits_for_me()) {
        out += review_form(scene, pair);
    } else if (pair.review) {
        const auto& mine = pair.as_mentor ? pair.review->mentor_said : pair.review->newcomer_said;
        const auto& theirs = pair.as_mentor ? pair.review->newcomer_said : pair.review->mentor_said;
        out.add("<p>After {} days you said: {}. {}: {}.</p>", pair.review->after_days, said_words(mine),
                person_name(pair.other_name), said_words(theirs));
    }
    if (pair.next_review) out.add("<p class=\"help\">Next look at it together: {}.</p>", to_iso(*pair.next_review));
    return out;
}

Html hand_over_form(const Scene& scene, const std::vector<PersonView>& persons, const PairOfMine& pair) {
    std::vector<Choice> choices;
    for (const PersonView& person : persons) {
        const bool mentors =
            person.role == protocol::MemberRole::mentor || person.role == protocol::MemberRole::officer;
        const bool rests = person.card && person.card->resting;
        if (mentors && !rests && !person.is_minor && person.id != scene.context().me.id()) {
            choices.push_back({key_of(person.id), person.name});
        }
    }
    if (choices.empty()) return Html();
    const FormOn form(scene, "hand-" + key_of(pair.other).substr(0, 12));
    Html inside = hidden(form.key("newcomer"), key_of(pair.other));
    inside += choice_row(form.required("to", "To whom"), choices);
    inside += text_row(form.field("thanks", "A word of thanks, if you like", "",
                                  "One line. The two of you are shown it; every member's node holds it."));
    inside += button("Hand over with thanks");
    return html(
        "<details id=\"{}\"><summary>Hand {} over to another mentor</summary><p>The pairing ends with thanks, and the "
        "other mentor is proposed. Both still say yes or rather not.</p>{}</details>",
        form.key("part"), person_name(pair.other_name), form.form(url("/pairing/hand-over"), inside));
}

Html standing_part(const Scene& scene, const std::vector<PersonView>& persons, const PairOfMine& pair) {
    Html out = html("<h2>{} {}</h2><p>Since {}.</p>", pair.as_mentor ? "You mentor" : "Your mentor is",
                    person_name(pair.other_name), to_iso(pair.since));
    out += review_part(scene, pair);
    if (pair.as_mentor) out += hand_over_form(scene, persons, pair);
    out += final_form(FormOn(scene, "end-" + key_of(pair.other).substr(0, 12)), url("/pairing/end"),
                      hidden("other", key_of(pair.other)), "Yes, end it",
                      "End it with " + pair.other_name + ", with thanks");
    return html("<section>{}</section>", out);
}

Html ended_line(const PairOfMine& pair) {
    if (pair.out_of_reach && !pair.as_mentor) {
        return html(
            "<li>{} could not be reached any more. The club looks for somebody new for you, and you come first.</li>",
            person_name(pair.other_name));
    }
    Html out = html("With {} until {}", person_name(pair.other_name), to_iso(pair.since));
    if (!pair.handed_to.empty()) out.add(", then handed over to {}", person_name(pair.handed_to));
    out.add(".");
    if (!pair.thanks.empty()) out.add(" <q>{}</q>", pair.thanks);
    return html("<li>{}</li>", out);
}

Html wish_form(const Scene& scene, const OwnWish& own) {
    const FormOn form(scene, "wish");
    const protocol::PairingWishBody& wish = own.wish;
    Html inside = text_row(form.field("languages", "Languages you speak well enough", joined(wish.languages),
                                      "The one you like best first: German, English. Empty: any will do."));
    inside += number_row(form.field("km", "At most so many kilometres apart",
                                    wish.km_max ? std::to_string(*wish.km_max) : "", "Empty: it does not matter."),
                         0, 20'000);
    inside += check_row(form.field("remote", "Help from afar is all right", wish.remote ? "yes" : ""));
    inside += check_row(form.field("written", "Writing alone is all right", wish.written ? "yes" : ""));
    inside +=
        text_row(form.field("goals", own.as_newcomer ? "What you would like to get to" : "What you like to help with",
                            joined(wish.goals), "Commas between: first contact, antennas. Empty: as on the card."));
    if (own.as_newcomer) {
        inside += text_row(form.field("like", "Mentors you would like", joined(own.would_like),
                                      "One or two names; leave it empty if you do not mind."));
    }
    inside += button("Keep my wishes");
    return html(
        "<section><h2>What you wish for</h2><p>The club's officers use it when they propose pairs. Every member's node "
        "holds it, so write nothing here that is private.</p>{}</section>",
        form.form(url("/pairing/wish"), inside));
}

Html apart_part(const Scene& scene, const OwnWish& own) {
    const FormOn form(scene, "apart");
    Html inside = text_row(form.field("who", "With whom you would rather not be paired"));
    inside += button("Note it for myself");
    Html lines = each(own.apart, [&](const std::pair<protocol::MemberId, std::string>& one) {
        return html("<li><p>{}</p>{}</li>", person_name(one.second),
                    button_form(scene.request, url("/pairing/no-matter"), "Forget the note about " + one.second,
                                {{"who", key_of(one.first)}}));
    });
    return html(
        "<section><h2>Only for you</h2><p>A note here stays on your own machines: nobody in the club sees it, so it "
        "cannot keep an officer from proposing the pair. If they do, you are reminded, and say \"rather not\" without "
        "a "
        "reason. To keep it from being proposed at all, tell an officer.</p>{}{}</section>",
        own.apart.empty() ? Html() : html("<ul class=\"arranged\">{}</ul>", lines),
        form.form(url("/pairing/not-with"), inside));
}

Result<Response> pairing_page(const Scene& scene) {
    TRY(const auto all, my_pairings(scene.context()));
    TRY(const CircleView club, own_circle(scene.context(), protocol::CircleKind::club));
    TRY(const auto persons, people(scene.context().db, club.id));
    Page content;
    content.title = "Your pairing";
    content.main = proposals_part(scene, persons, all);
    Html ended;
    for (const PairOfMine& pair : all) {
        if (pair.step == PairingStep::agreed) content.main += standing_part(scene, persons, pair);
        if (pair.step == PairingStep::ended) ended += ended_line(pair);
    }
    if (content.main.empty()) {
        content.main = html(
            "<p class=\"empty\">You are paired with nobody, and nothing is proposed. The club's officers propose "
            "pairs; what you wish for helps them.</p>");
    }
    if (!ended.empty()) content.main.add("<section><h2>Earlier</h2><ul>{}</ul></section>", ended);
    if (const auto own = own_wish(scene.context())) {
        content.main += wish_form(scene, own.value());
        content.main += apart_part(scene, own.value());
    }
    content.side = html(
        "<h2>Whose word counts</h2><p>Yours. Nobody is paired against their wish once they are asked, and either of "
        "two may end a pairing at any time, without a reason.</p><p><a href=\"{}\">The club</a></p>",
        url("/club"));
    return show(scene, std::move(content));
}

Result<Response> answered(const Scene& scene, const Result<Done>& done, std::string field = {},
                          std::optional<Undo> undo = {}) {
    if (!done) return pairing_page(scene.back(refusal_of(done.error(), std::move(field))));
    return redirect(url("/pairing?said={}", scene.say(done.value(), std::move(undo))));
}

Result<Response> answer_sent(const Scene& scene) {
    const auto& form = scene.request.form;
    return answered(scene, answer_pair(scene.context(), form.get("other"), form.get("answer") == "yes"));
}

Result<Response> review_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    std::vector<PairingWord> words;
    for (const auto& [name, label] : questions) {
        const auto word = word_of(form.text(name));
        if (!word) {
            return pairing_page(scene.back({400, "Answer each of the three questions; one click each.", name}));
        }
        words.push_back(*word);
    }
    return answered(scene, review_pair(scene.context(), form.text("other"), most_serious(words)));
}

Result<Response> end_sent(const Scene& scene) {
    const auto is_sure = sure(FormOn::sent(scene));
    if (!is_sure) return answered(scene, is_sure.error(), "sure");
    const std::string me = key_of(scene.context().me.id());
    const std::string other = scene.request.form.text("other");
    TRY(const auto all, my_pairings(scene.context()));
    const bool as_mentor = std::any_of(all.begin(), all.end(), [&](const PairOfMine& pair) {
        return pair.step == PairingStep::agreed && pair.as_mentor && key_of(pair.other) == other;
    });
    return answered(scene, as_mentor ? end_pair(scene.context(), other, me) : end_pair(scene.context(), me, other));
}

Result<Response> hand_over_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    if (form.text("to").empty())
        return answered(scene, Error{Fault::bad_input, "Choose to whom; nothing was done."}, "to");
    return answered(scene, hand_over(scene.context(), form.text("newcomer"), form.text("to"), form.text("thanks")),
                    "to");
}

Result<Response> wish_sent(const Scene& scene) {
    const FormOn form(scene, "wish");
    WishRequest request;
    request.languages = parted(form.text("languages"));
    request.km_max = form.text("km").empty() ? std::optional<std::int64_t>(0) : form.number("km");
    if (!request.km_max) {
        return pairing_page(scene.back({400, "Write the distance as a whole number of kilometres.", "km"}));
    }
    request.remote = form.text("remote") == "yes";
    request.written = form.text("written") == "yes";
    request.goals = parted(form.text("goals"));
    TRY(const OwnWish own, own_wish(scene.context()));
    if (own.as_newcomer) request.would_like = parted(form.text("like"));
    const bool names_some = request.would_like && !request.would_like->empty();
    return answered(scene, change_wish(scene.context(), request), names_some ? "like" : "");
}

Result<Response> not_with_sent(const Scene& scene) {
    const std::string who = FormOn(scene, "apart").text("who");
    return answered(scene, not_with(scene.context(), who, true), "who",
                    Undo{url("/pairing/no-matter"), {{"who", who}}});
}

Result<Response> no_matter_sent(const Scene& scene) {
    const std::string who = scene.request.form.get("who");
    const Undo undo{url("/pairing/not-with"), {{"form", "apart"}, {"apart-who", who}}};
    return answered(scene, not_with(scene.context(), who, false), {}, undo);
}

}  // namespace

void add_pairing_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/pairing", pairing_page);
    on_post(router, house, "/pairing/answer", answer_sent);
    on_post(router, house, "/pairing/review", review_sent);
    on_post(router, house, "/pairing/end", end_sent);
    on_post(router, house, "/pairing/hand-over", hand_over_sent);
    on_post(router, house, "/pairing/wish", wish_sent);
    on_post(router, house, "/pairing/not-with", not_with_sent);
    on_post(router, house, "/pairing/no-matter", no_matter_sent);
}

}  // namespace ladderline::node::web
