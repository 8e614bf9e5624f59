// The club: for officers the review and the pairing proposal, for everybody the members and their cards.

#include <algorithm>

#include "node/commands/checks.hpp"
#include "node/commands/pairing.hpp"
#include "node/commands/review.hpp"
#include "node/commands/word_back.hpp"
#include "node/web/pages/club_paper.hpp"
#include "node/web/pages/final_form.hpp"
#include "node/web/pages/pair_parts.hpp"
#include "node/web/pages/word_back.hpp"
#include "protocol/base/comma_list.hpp"

namespace ladderline::node::web {
namespace {

// A big club's lists stop here, so that the page stays light (PAGES.md).
constexpr std::size_t rows_max = 50;
constexpr std::size_t names_max = 100;
constexpr std::size_t members_max = 150;

// The first names of a list, and how many are left out.
std::string some_names(const std::vector<std::string>& names) {
    std::string out;
    for (std::size_t i = 0; i < std::min(names.size(), names_max); ++i) out += (out.empty() ? "" : ", ") + names[i];
    if (names.size() > names_max) out += " and " + std::to_string(names.size() - names_max) + " more";
    return out;
}

Html pins_part(const Review& r) {
    std::vector<Waiting> lines;
    for (const ReviewPin& pin : r.pinned) {
        if (lines.size() < rows_max) lines.push_back({pin.name + ": " + pin.sentence, "", pin.days_left});
    }
    Html out = waiting_list(lines, "No date that cannot be moved is near for anybody.");
    out += and_more(r.pinned.size(), rows_max);
    return out;
}

Html who_cell(const ReviewLine& line) {
    Html who = person_name(line.name);
    if (!line.call_sign.empty()) who.add(" {}", call_sign(line.call_sign));
    return who;
}

// Each of these alone would be enough.
std::string falls_out_words(const ReviewLine& line) {
    std::string out;
    for (const std::string& one : line.falls_out_if) out += (out.empty() ? "" : ", or if ") + one;
    return out.empty() ? "" : "Would fall out of the list if " + out + ".";
}

Html why_cell(const Scene& scene, const ReviewLine& line) {
    Html out = sentences(line.reasons);
    const std::string falls_out = falls_out_words(line);
    if (!falls_out.empty()) out.add("<p class=\"help\">{}</p>", falls_out);
    out += button_form(scene.request, url("/club/asked"), "Asked " + line.name + ": is fine",
                       {{"newcomer", key_of(line.person)}});
    return out;
}

// Names of those of whom there is nothing to say, so that nobody looks for them in the table.
std::string others_words(const Review& r) {
    std::vector<std::string> fine;
    std::vector<std::string> resting;
    for (const ReviewLine& line : r.lines) {
        if (line.resting || line.reasons.empty()) (line.resting ? resting : fine).push_back(line.name);
    }
    std::string out;
    if (!fine.empty()) out = "Nothing stands out: " + some_names(fine) + ".";
    if (!resting.empty())
        out += (out.empty() ? "" : " ") + ("Resting, and left in peace: " + some_names(resting) + ".");
    return out;
}

std::string asked_words(const Review& r) {
    std::string out;
    for (const AskedLine& line : r.asked) {
        out += (out.empty() ? "" : ", ") + line.name + " (on the list again from " + to_iso(line.until) + ")";
    }
    return out.empty() ? "" : "Asked lately, and fine: " + out + ".";
}

Html needs_part(const Scene& scene, const Review& r) {
    Table out;
    out.caption = "Where to look first; no order of merit";
    out.columns = {"Who", "Why", "Stage", "Mentor"};
    out.empty_sentence = !r.lines.empty() || !r.asked.empty()
                             ? "Nobody stands out."
                             : "Nobody has agreed to stand in the club's list yet. Newcomers switch that on "
                               "themselves, on their circles page.";
    std::size_t needing = 0;
    for (const ReviewLine& line : r.lines) {
        if (line.resting || line.reasons.empty()) continue;
        needing += 1;
        if (needing > rows_max) continue;
        out.rows.push_back({who_cell(line), why_cell(scene, line), text(stage_words(scene, line.stage)),
                            line.mentor_name.empty() ? state_mark(Mark::open, "none") : person_name(line.mentor_name)});
    }
    Html part = table(out);
    part += and_more(needing, rows_max);
    for (const std::string& words : {others_words(r), asked_words(r)}) {
        if (!words.empty()) part.add("<p>{}</p>", words);
    }
    return part;
}

Html mentors_part(const std::vector<MentorLine>& mentors, std::string caption, std::string empty_sentence) {
    Table out;
    out.caption = std::move(caption);
    out.columns = {"Mentor", "Room for", "Has", "Helps with", "Bands", "Square"};
    out.empty_sentence = std::move(empty_sentence);
    for (const MentorLine& m : mentors) {
        if (out.rows.size() == rows_max) break;
        out.rows.push_back({person_name(m.name), text(std::to_string(m.places)), text(std::to_string(m.carries)),
                            text(m.topics.empty() ? "not said" : joined(m.topics)),
                            text(m.bands.empty() ? "not said" : joined(m.bands)),
                            m.locator.empty() ? text("not said") : call_sign(m.locator)});
    }
    Html part = table(out);
    part += and_more(mentors.size(), rows_max);
    return part;
}

std::string card_words(const PersonView& person) {
    if (!person.card) return "no card yet";
    const protocol::CardBody& card = *person.card;
    std::vector<std::string> parts;
    if (!card.topics.empty()) parts.push_back("helps with " + joined(card.topics));
    if (!card.bands.empty()) parts.push_back("on " + joined(card.bands));
    if (!card.locator.empty()) parts.push_back("square " + card.locator);
    if (card.room > 0) parts.push_back("room for " + std::to_string(card.room));
    if (card.resting) parts.push_back("resting");
    return parts.empty() ? "says nothing more" : joined(parts);
}

Html members_part(const std::string& club, const std::vector<PersonView>& persons) {
    Table out;
    out.caption = "Members of " + club;
    out.columns = {"Name", "Call sign", "Seat", "Card"};
    out.empty_sentence = "Nobody is here yet. An officer invites people from the circles page.";
    for (const PersonView& p : persons) {
        if (out.rows.size() == members_max) break;
        const bool has_call = p.card && !p.card->call_sign.empty();
        out.rows.push_back({person_name(p.name), has_call ? call_sign(p.card->call_sign) : text("not said"),
                            text(seat_words(p.role)), text(card_words(p))});
    }
    Html part = table(out);
    part += and_more(persons.size(), members_max);
    return part;
}

// The button names the two: buttons of one name cannot be told apart by ear.
Html standing_line(const Scene& scene, const StandingPair& pair) {
    const std::string newcomer = key_of(pair.newcomer);
    const std::string mentor = key_of(pair.mentor);
    const FormOn form(scene, "end-" + newcomer.substr(0, 12) + "-" + mentor.substr(0, 12));
    Html who = hidden("newcomer", newcomer);
    who += hidden("mentor", mentor);
    return html("<li><p>{} with {} <span class=\"whom\">since {}</span></p>{}</li>", person_name(pair.newcomer_name),
                person_name(pair.mentor_name), to_iso(pair.since),
                final_form(form, url("/club/end"), who, "Yes, end this one",
                           "End it with thanks: " + pair.newcomer_name + " with " + pair.mentor_name));
}

// Officers alone: whom the review is about is still to come.
Html beginning_part(const Review& r) {
    const bool others = std::any_of(r.members.begin(), r.members.end(),
                                    [](const PersonView& p) { return p.role != protocol::MemberRole::officer; });
    if (others) return Html();
    return notice(Tone::plain, "Your club begins",
                  html("<p>Nobody but officers is in it yet.</p><p><a class=\"button\" href=\"{}\">Invite mentors and "
                       "newcomers</a></p>",
                       url("/circles")));
}

Html standing_part(const Scene& scene, const std::vector<StandingPair>& pairs) {
    if (pairs.empty()) return html("<p class=\"empty\">No pair has been agreed yet.</p>");
    const std::size_t shown = std::min(pairs.size(), rows_max);
    const std::vector<StandingPair> latest(pairs.end() - static_cast<std::ptrdiff_t>(shown), pairs.end());
    Html out = html("<ul class=\"arranged\">{}</ul>",
                    each(latest, [&](const StandingPair& pair) { return standing_line(scene, pair); }));
    out += and_more(pairs.size(), rows_max);
    return out;
}

// A proposal for many takes long and would be long: it is then made on its own page alone.
Html proposal_part(const Scene& scene, const Review& r) {
    if (r.without_mentor.size() <= rows_max) return pairing_part(scene, url("/club/pair"));
    return html("<p>{} newcomers have no mentor: the board proposes pairs for all of them.</p>",
                r.without_mentor.size());
}

Html without_mentor_part(const Review& r) {
    if (r.without_mentor.empty()) {
        return html("<p class=\"empty\">{}</p>",
                    r.consenting == 0 ? "Nobody is listed yet: a newcomer agrees to it on their own page Circles."
                                      : "Everybody who is listed, and does not rest, has a mentor.");
    }
    const std::size_t shown = std::min(r.without_mentor.size(), rows_max);
    Html out = sentences({r.without_mentor.begin(), r.without_mentor.begin() + static_cast<std::ptrdiff_t>(shown)});
    out += and_more(r.without_mentor.size(), rows_max);
    return out;
}

Html on_the_air_part(const Review& r) {
    Html out = html("<p>{}</p>", r.on_air.sentence);
    if (r.unknown > 0) {
        out.add("<p>{}</p>", state_mark(Mark::open, "Unknown: " + std::to_string(r.unknown) +
                                                        (r.unknown == 1 ? " newcomer" : " newcomers") +
                                                        " without a row, or whose consent is over"));
    }
    return out;
}

// On the screen everything with its buttons; on paper one sheet.
void review_part(const Scene& scene, const Review& r, Page& content) {
    Html seen = html("<section><h2>Dates that do not move</h2>{}</section>", pins_part(r));
    seen.add("<section><h2>Who needs us</h2>{}</section>", needs_part(scene, r));
    seen.add("<section><h2>Without a mentor</h2>{}</section>", without_mentor_part(r));
    seen.add("<section><h2>Proposed pairs</h2>{}<p><a class=\"button\" href=\"{}\">Pairing board</a></p></section>",
             proposal_part(scene, r), url("/club/pairing"));
    seen.add("<section><h2>Pairs that stand</h2>{}</section>", standing_part(scene, r.standing));
    seen.add("<section><h2>Mentors</h2>{}{}</section>",
             mentors_part(r.with_room, "Mentors with room",
                          "No mentor has said that there is room. Mentors write it on their cards."),
             r.over_five.empty() ? Html() : mentors_part(r.over_five, "Mentors who carry more than five", ""));
    content.main += html("<div class=\"on-screen\">{}</div>", seen);
    content.main += review_on_paper(r);
    Html side = html("<section><h2>On the air</h2>{}</section><section><h2>How old this is</h2><p>{}</p>{}</section>",
                     on_the_air_part(r), r.as_of_sentence,
                     button_form(scene.request, url("/club/held"), "We held the review today"));
    side.add(
        "<section><h2>More</h2><ul class=\"links\"><li><a href=\"{}\">All 36 questions</a></li><li><a href=\"{}\">How "
        "long it takes</a></li><li><a href=\"{}\">The year on one page</a></li><li><a "
        "href=\"{}\">Hand over to the "
        "next officer</a></li><li><a href=\"{}\">Old records</a></li></ul><p>Printed, the review is one sheet for the "
        "meeting.</p></section>",
        url("/club/questions"), url("/club/numbers"), url("/club/year"), url("/club/handover"), url("/club/old"));
    content.side = html("<div class=\"on-screen\">{}</div>", side);
    content.as_of = as_of_words(scene.viewer, r.as_of);
}

Result<Response> pair_sent(const Scene& scene) {
    const auto done = agree_pair(scene.context(), scene.request.form.get("newcomer"), scene.request.form.get("mentor"));
    if (!done) return club_page(scene.back(refusal_of(done.error())));
    return redirect(url("/club?said={}", scene.say(done.value())));
}

Result<Response> end_sent(const Scene& scene) {
    const auto is_sure = sure(FormOn::sent(scene));
    if (!is_sure) return club_page(scene.back(refusal_of(is_sure.error(), "sure")));
    const auto done = end_pair(scene.context(), scene.request.form.get("newcomer"), scene.request.form.get("mentor"));
    if (!done) return club_page(scene.back(refusal_of(done.error())));
    return redirect(url("/club?said={}", scene.say(done.value())));
}

Result<Response> asked_sent(const Scene& scene) {
    const auto back = word_taken_back(scene);
    const auto done = back ? take_check_back(scene.context(), *back)
                           : note_checked(scene.context(), scene.request.form.get("newcomer"), {});
    if (!done) return club_page(scene.back(refusal_of(done.error())));
    auto undo = back ? std::nullopt : undo_of_word(url("/club/asked"), done);
    return redirect(url("/club?said={}", scene.say(done.value(), std::move(undo))));
}

Result<Response> held_sent(const Scene& scene) {
    const auto done = review_held(scene.context());
    if (!done) return club_page(scene.back(refusal_of(done.error())));
    return redirect(url("/club?said={}", scene.say(done.value())));
}

}  // namespace

Result<Response> club_page(const Scene& scene) {
    Page content;
    content.title = scene.viewer.club ? scene.viewer.club->name : "Club";
    if (!scene.viewer.club) {
        content.main = html(
            "<p class=\"empty\">You are in no club yet. An officer of yours makes an invite code: <a "
            "href=\"{}\">take it in here</a>.</p>",
            url("/join"));
        return show(scene, std::move(content));
    }
    Html own = pairing_notice(scene);
    own.add("<p><a href=\"{}\">Your pairing, and what you wish for</a></p>", url("/pairing"));
    content.main = html("<div class=\"on-screen\">{}</div>", own);
    const CircleView& club = *scene.viewer.club;
    if (!scene.viewer.is_officer) {
        TRY(const auto persons, people(scene.context().db, club.id));
        content.main.add("<section><h2>People</h2>{}</section>", members_part(club.name, persons));
        return show(scene, std::move(content));
    }
    TRY(const Review r, review(scene.context()));
    content.main += beginning_part(r);
    review_part(scene, r, content);
    content.main.add("<section class=\"on-screen\"><h2>People</h2>{}</section>", members_part(club.name, r.members));
    return show(scene, std::move(content));
}

void add_club_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/club", club_page);
    on_post(router, house, "/club/pair", pair_sent);
    on_post(router, house, "/club/end", end_sent);
    on_post(router, house, "/club/held", held_sent);
    on_post(router, house, "/club/asked", asked_sent);
}

}  // namespace ladderline::node::web
