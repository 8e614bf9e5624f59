// Who is in which circle and who sees what; inviting, letting club members onto the own path, and sharing with the
// club.

#include "node/commands/circles.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "node/commands/club_row.hpp"
#include "node/commands/club_shares.hpp"
#include "node/commands/consent_days.hpp"
#include "node/commands/couriers.hpp"
#include "node/commands/invite_reach.hpp"
#include "node/commands/reach.hpp"
#include "node/commands/sees.hpp"
#include "node/web/pages/frame.hpp"
#include "node/web/pages/paging.hpp"

namespace ladderline::node::web {
namespace {

using protocol::CircleKind;
using protocol::MemberId;
using protocol::MemberRole;

constexpr std::size_t listed_max = 100;  // of a bigger circle the list stands behind a link, and names are typed
constexpr std::size_t page_people = 200;

std::string seen_in(CircleKind kind) {
    switch (kind) {
        case CircleKind::desk:
            return "Your practice answers and whatever else is yours alone. Only your own devices hold it.";
        case CircleKind::path:
            return "Ticks, signatures, arranged contacts, contacts written down and questions. Everyone on the path "
                   "sees "
                   "all of it; it belongs to the newcomer and goes along when a mentor changes.";
        case CircleKind::club:
            return "Members' cards, agreed pairs, and for newcomers who say yes twelve facts about their way. No "
                   "ticks, "
                   "no log, no practice.";
    }
    return "";
}

// On which machines each of them reads, and since when the key of now.
Html machines_part(const Scene& scene, const CircleView& circle, const CircleSight& sight) {
    const Html rows = each(sight.people, [](const PersonSight& person) {
        std::string devices;
        for (const std::string& device : person.devices) devices += (devices.empty() ? "" : ", ") + device;
        const std::string check =
            person.voice_checked ? "; check words compared by voice on " + to_iso(*person.voice_checked) : "";
        return html("<li>{}: {}{}{}</li>", person_name(person.name), devices.empty() ? "no machine" : devices,
                    person.reads ? "" : "; reads nothing new", check);
    });
    const std::size_t gone_shown = std::min(sight.gone.size(), page_people);
    Html gone = each(std::span(sight.gone).first(gone_shown), [](const std::string& name) {
        return html("<li>{}: gone, keeps what they had</li>", person_name(name));
    });
    if (const std::size_t more = sight.gone.size() - gone_shown; more > 0) {
        gone.add("<li>{} more are gone, and keep what they had; <code>ladderline sees</code> names them</li>", more);
    }
    return html(
        "<details id=\"d-machines-{}\"><summary>On which machines</summary><ul>{}{}</ul><p>Key {} since {}. Whoever "
        "only stores or "
        "carries for others reads nothing.</p></details>",
        key_of(circle.id), rows, gone, sight.key, time_words(scene.viewer, sight.key_since));
}

// Where sealed copies of it are kept, if anywhere.
Result<Html> couriers_part(const Scene& scene, const CircleView& circle) {
    TRY(const auto all, courier_sights(scene.context(), circle.id));
    return each(all, [](const CourierSight& sight) {
        return html("<p>Sealed copies: {}. The courier reads none of it and is never the only copy.</p>",
                    in_words(sight));
    });
}

// Who stands as under 18 in the list of a circle, for whoever looks. Everybody who was let in reads a club's list:
// there its officers, the person, and those on that person's path are told.
Result<std::set<MemberId>> ages_told(const Scene& scene, const CircleView& circle,
                                     const std::vector<PersonView>& persons) {
    const MemberId me = scene.context().me.id();
    const bool all = circle.kind != CircleKind::club ||
                     std::any_of(persons.begin(), persons.end(),
                                 [&](const PersonView& p) { return p.id == me && p.role == MemberRole::officer; });
    std::set<MemberId> looked_after{me};
    TRY(const auto held, circles(scene.context().db));
    for (const CircleView& path : held) {
        if (all || path.kind != CircleKind::path) continue;
        TRY(const auto there, people(scene.context().db, path.id));
        if (std::any_of(there.begin(), there.end(), [&](const PersonView& p) { return p.id == me; })) {
            looked_after.insert(path.founder);
        }
    }
    std::set<MemberId> out;
    for (const PersonView& p : persons) {
        if (p.is_minor && (all || looked_after.contains(p.id))) out.insert(p.id);
    }
    return out;
}

Html members_part(const Scene& scene, std::span<const PersonView> persons, const std::set<MemberId>& under_18) {
    if (persons.empty()) return html("<p class=\"empty\">Its people come with the first sync.</p>");
    return html("<ul>{}</ul>", each(persons, [&](const PersonView& p) {
                    const bool self = p.id == scene.context().me.id();
                    return html("<li>{}{}, {}{}</li>", person_name(p.name), self ? " (you)" : "", seat_words(p.role),
                                under_18.contains(p.id) ? ", under 18" : "");
                }));
}

// How many in which seat, who the officers are, and where the whole list is.
Html many_part(const Scene& scene, const std::vector<PersonView>& persons, const std::set<MemberId>& under_18) {
    std::map<MemberRole, std::size_t> seats;
    std::vector<PersonView> officers;
    for (const PersonView& p : persons) {
        ++seats[p.role];
        if (p.role == MemberRole::officer) officers.push_back(p);
    }
    std::string counts;
    for (const auto& [role, count] : seats) {
        counts += (counts.empty() ? "" : ", ") + seat_words(role) + " " + std::to_string(count);
    }
    return html("<p>{} people ({}). Officers:</p>{}<p><a href=\"{}\">All of them, and their machines</a></p>",
                persons.size(), counts, members_part(scene, officers, under_18), url("/circles?all=1"));
}

Result<Html> circle_part(const Scene& scene, const CircleView& circle) {
    TRY(const auto persons, people(scene.context().db, circle.id));
    const bool all = persons.size() <= listed_max || scene.request.query.has("all");
    const Paging paging(scene.request, all ? persons.size() : 0, page_people);
    const auto shown = paging.part(persons);
    TRY(const CircleSight sight, sight_of_some(scene.context(), circle, shown));
    std::string title = circle.kind == CircleKind::desk ? "Your own desk" : "Club: " + circle.name;
    if (circle.kind == CircleKind::path) {
        title = circle.founder == scene.context().me.id() ? "Your path" : "The path of " + circle.name;
    }
    TRY(const Html couriers, couriers_part(scene, circle));
    const Html notes = each(sight.notes, [](const std::string& note) {
        return notice(Tone::caution, "Taken out, or not readable yet", note);
    });
    TRY(const auto under_18, ages_told(scene, circle, persons));
    Html listed = many_part(scene, persons, under_18);
    if (all) {
        listed = members_part(scene, shown, under_18);
        listed += paging.links([](std::size_t from) { return url("/circles?all=1&from={}", from); });
        listed += machines_part(scene, circle, sight);
    }
    return html("<section><h2>{}</h2><p>{}</p>{}{}{}</section>", title, seen_in(circle.kind), listed, couriers, notes);
}

Html typed_row(const FormOn& form, std::string_view label) {
    return text_row(form.required("person", std::string(label), "", "Their name or call sign"));
}

// Of few a list, of many a name.
Html who_row(const FormOn& form, std::string_view label, const std::vector<Choice>& choices) {
    if (choices.size() <= listed_max) {
        return list_row(form.required("person", std::string(label), choices.front().value), choices);
    }
    return text_row(form.required("person", std::string(label), "", "Their name or call sign"));
}

// The seat that the next person is let into most likely: on a path of somebody under 18 the adult who is missing.
Result<std::string> next_seat(const Scene& scene) {
    TRY(const auto here, people(scene.context().db, scene.viewer.path->id));
    const auto has = [&](MemberRole role) {
        return std::any_of(here.begin(), here.end(), [&](const PersonView& p) { return p.role == role; });
    };
    const bool is_minor = std::any_of(
        here.begin(), here.end(), [&](const PersonView& p) { return p.id == scene.context().me.id() && p.is_minor; });
    if (is_minor && !has(MemberRole::guardian)) return std::string("guardian");
    if (is_minor && !has(MemberRole::second_adult)) return std::string("second adult");
    return std::string("mentor");
}

Html invite_form(const Scene& scene, CircleKind kind, const std::string& seat) {
    const bool path = kind == CircleKind::path;
    const FormOn form(scene, path ? "invite-path" : "invite-club");
    const std::vector<Choice> seats = seat_choices(kind);
    Html inside = hidden("circle", path ? "path" : "club");
    inside += radio_rows(form.required("role", "Seat", seat), seats);
    inside += list_row(form.required("level", "Highest level of a skill they may sign", "3"), level_choices());
    inside += number_row(form.required("days", "Good for how many days", "7"), 1, 60);
    const InviteAddress& known = scene.house.invite_address;
    inside += text_row(form.required("address", "Address where your program is reached", known ? known() : "",
                                     "Host and port as their machine reaches yours, 192.168.1.20:7300 for one"));
    inside += button("Make an invite code");
    return form.form(url("/circles/invite"), inside);
}

// Club members who are not on the own path yet.
Result<Html> let_in_part(const Scene& scene) {
    if (!scene.viewer.path || !scene.viewer.club) return Html();
    TRY(const auto members, people(scene.context().db, scene.viewer.club->id));
    TRY(const auto here, people(scene.context().db, scene.viewer.path->id));
    std::vector<Choice> choices;
    for (const PersonView& p : members) {
        const bool known =
            std::any_of(here.begin(), here.end(), [&](const PersonView& other) { return other.id == p.id; });
        if (!known && p.role != MemberRole::newcomer)
            choices.push_back({key_of(p.id), p.name + ", " + seat_words(p.role)});
    }
    if (choices.empty()) return Html();
    const FormOn form(scene, "let-in");
    Html inside = who_row(form, "Who", choices);
    TRY(const std::string seat, next_seat(scene));
    inside += radio_rows(form.required("role", "Seat on your path", seat),
                         {{"mentor", "mentor"}, {"guardian", "guardian"}, {"second adult", "second adult"}});
    inside += list_row(form.required("level", "Highest level of a skill they may sign", "3"), level_choices());
    inside += button("Let them onto my path");
    return html(
        "<section><h2>Let a club member onto your path</h2><p>They will see everything on it, and what they have "
        "seen cannot be taken back.</p>{}</section>",
        form.form(url("/circles/let-in"), inside));
}

// Whether the facts go out, to which club, and until when.
std::string share_words(const NotedShare& share, Day today) {
    const auto until = parse_day(share.value);
    if (!until) return {};
    if (until.value() < today) return share.club.name + " has had no news since " + share.value + ".";
    return share.club.name + " sees them until " + share.value + ".";
}

Result<Html> sharing_part(const Scene& scene) {
    if (!scene.viewer.path || !scene.viewer.club) return Html();
    TRY(const auto noted, noted_shares(scene.context(), row_share));
    const Day today = scene.context().today();
    const Html now = each(noted, [&](const NotedShare& share) { return html("<p>{}</p>", share_words(share, today)); });
    const FormOn form(scene, "share");
    Html inside = day_row(form.required("until", "Until", to_iso(scene.context().today() + consent_days),
                                        "Two years at most; it ends by itself."));
    inside += button("Share the twelve facts with " + scene.viewer.club->name);
    return html(
        "<section><h2>What the club may know about your way</h2><p>Of your way nothing, until you say so. Then it "
        "holds twelve "
        "facts: "
        "your key, the name you chose, your call sign, your stage, the dates of your last milestone, last contact and "
        "last word from a mentor, who your mentor is, whether you need a hand and with what, whether you rest, whether "
        "you are under 18, and until when you agreed. Never with whom you talked.</p><p>Your name, your card and "
        "whether you are under 18 came with joining: each member's machine holds them. That you are under 18 is shown "
        "to the club's officers and to those on your path.</p>{}{}<p>You can stop the news at any "
        "time. What the club has seen by then cannot be taken back.</p>{}</section>",
        now, form.form(url("/circles/share"), inside),
        button_form(scene.request, url("/circles/unshare"), "Stop sharing"));
}

// One call step by step: words carry it, not colour.
Html how_it_goes(const ReachLine& line, std::size_t number) {
    Html out = html("<p>{}</p>", line.state);
    if (line.steps.empty()) return out;
    Html steps;
    for (const ReachStepLine& step : line.steps) {
        steps.add("<li>{}: {}</li>", step.what, step.done ? "done" : "not yet");
    }
    const Html why = line.why.empty() ? Html() : html("<p>Why: {}</p>", line.why);
    out.add("<details id=\"d-call-{}\"><summary>The last call, step by step</summary><ol>{}</ol>{}</details>", number,
            steps, why);
    if (!line.advice.empty()) out.add("<p>{}</p>", line.advice);
    return out;
}

// To choose from; none where they are so many that a name is typed.
Result<std::optional<std::vector<Choice>>> everybody_else(const Scene& scene) {
    const auto& me = scene.context().me.id();
    TRY(const std::size_t count, count_others(scene.context()));
    if (count > listed_max) return std::optional<std::vector<Choice>>();
    std::vector<Choice> out;
    std::set<protocol::MemberId> known{me};
    TRY(const auto all, circles(scene.context().db));
    for (const CircleView& circle : all) {
        TRY(const auto persons, people(scene.context().db, circle.id));
        for (const PersonView& p : persons) {
            if (known.insert(p.id).second) out.push_back({key_of(p.id), p.name});
        }
    }
    return std::optional(std::move(out));
}

// Where other people's machines are looked for.
Result<Html> reach_part(const Scene& scene) {
    TRY(const auto lines, reached(scene.context()));
    Table out;
    out.caption = "Machines that this one syncs with";
    out.columns = {"Whose", "Address", "How it goes"};
    out.empty_sentence = "No address is known yet. Joining by a code remembers one; another is written below.";
    for (const ReachLine& line : lines)
        out.rows.push_back({person_name(line.name), text(line.address.empty() ? "they call here" : line.address),
                            how_it_goes(line, out.rows.size())});
    TRY(const auto others, everybody_else(scene));
    Html rows = table(out);
    if (!others || !others->empty()) {
        const FormOn form(scene, "reach");
        Html inside = others ? who_row(form, "Whose machine", *others) : typed_row(form, "Whose machine");
        inside += text_row(form.required("address", "Address", "", "Host and port: 192.168.1.20:7300"));
        inside += button("Look for it there");
        rows.add("<details id=\"d-reach\" {}><summary>Write an address</summary>{}</details>",
                 flag("open", form.came_back()), form.form(url("/circles/reach"), inside));
    }
    return html("<section><h2>Connections</h2>{}</section>", rows);
}

Result<Response> circles_page(const Scene& scene) {
    TRY(const auto all, circles(scene.context().db));
    Page content;
    content.title = "Circles: who sees what";
    for (const CircleView& circle : all) {
        TRY(const Html part, circle_part(scene, circle));
        content.main += part;
    }
    if (scene.viewer.path) {
        TRY(const std::string seat, next_seat(scene));
        content.main.add("<section><h2>Invite somebody onto your path</h2>{}</section>",
                         invite_form(scene, CircleKind::path, seat));
    }
    TRY(const Html let_in_rows, let_in_part(scene));
    content.main += let_in_rows;
    TRY(const Html sharing, sharing_part(scene));
    content.main += sharing;
    if (scene.viewer.is_officer) {
        content.main.add("<section><h2>Invite somebody into the club</h2>{}</section>",
                         invite_form(scene, CircleKind::club, "newcomer"));
    }
    TRY(const Html reach_rows, reach_part(scene));
    content.main += reach_rows;
    if (!scene.viewer.club) content.main.add("<section><h2>I was given a code</h2>{}</section>", code_form(scene));
    content.side =
        notice(Tone::caution, "Never over amateur frequencies",
               "Circles are sealed, and messages encoded to obscure their meaning are not allowed there (47 "
               "CFR 97.113(a)(4)). They travel over the local network, the internet or a carried file only.");
    content.side.add(
        "<section><h2>Joining</h2><p><a href=\"{}\">I was given a code, or somebody waits for my call</a></p><p>A code "
        "lets one person in, once, so hand it over like a key. <a href=\"{}\">Without a code</a> you compare six words "
        "by voice.</p></section><section><h2>Under 18</h2><p>Nobody under "
        "18 "
        "is ever alone with one adult here: the guardian comes first, then a second adult, then a "
        "mentor.</p></section>",
        url("/join"), url("/greet"));
    content.side.add("<section><h2>Going</h2><p><a href=\"{}\">Leaving, a lost machine, consent</a></p></section>",
                     url("/goings"));
    return show(scene, std::move(content));
}

bool is_good_for(const std::optional<std::int64_t>& days) {
    return days && *days >= 1 && *days <= 60;
}

bool names_port(const std::string& address) {
    return address.find(':') != std::string::npos;
}

Result<Invite> invite_as_typed(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    InviteRequest request;
    request.circle = scene.request.form.get("circle") == "club" ? CircleKind::club : CircleKind::path;
    TRY(request.role, parse_role(form.text("role")));
    TRY(request.level, level_typed(form));
    const auto days = form.number("days");
    if (!is_good_for(days)) return Error{Fault::bad_input, "An invite is good for 1 to 60 days."};
    request.days = static_cast<std::int32_t>(*days);
    request.address = form.text("address");
    if (!names_port(request.address)) {
        return Error{Fault::bad_input,
                     "Write where your program is reached, host and port, 192.168.1.20:7300 for one."};
    }
    return invite(scene.context(), request);
}

Result<Response> invite_sent(const Scene& scene) {
    const auto made = invite_as_typed(scene);
    if (!made) {
        const FormOn form = FormOn::sent(scene);
        const std::string field = !is_good_for(form.number("days"))   ? "days"
                                  : !names_port(form.text("address")) ? "address"
                                                                      : "";
        return circles_page(scene.back(refusal_of(made.error(), field)));
    }
    TRY(const InviteCode code, parse_code(made.value().code));
    std::string sentence = "This code lets one person in, once, until " +
                           time_words(scene.viewer, made.value().expires) +
                           ". Hand it over like a key; whoever has it can use it.";
    if (const std::string limits = limits_of_address(code.address); !limits.empty()) sentence += " " + limits;
    return redirect(url("/circles?said={}", scene.say(Told{std::move(sentence), made.value().code})));
}

Result<Response> after(const Scene& scene, const Result<Done>& done, std::string field = {}) {
    if (!done) return circles_page(scene.back(refusal_of(done.error(), std::move(field))));
    return redirect(url("/circles?said={}", scene.say(done.value())));
}

Result<Done> let_in_as_typed(const Scene& scene) {
    const FormOn form(scene, "let-in");
    TRY(const MemberRole role, parse_role(form.text("role")));
    TRY(const std::uint8_t level, level_typed(form));
    return let_onto_path(scene.context(), form.text("person"), role, level);
}

Result<Done> reach_as_typed(const Scene& scene) {
    const FormOn form(scene, "reach");
    const std::string address = form.text("address");
    if (!names_port(address)) {
        return Error{Fault::bad_input, "Write the address as host and port, 192.168.1.20:7300."};
    }
    return reach(scene.context(), form.text("person"), address);
}

Result<Done> share_as_typed(const Scene& scene) {
    TRY(const Day until, parse_day(FormOn(scene, "share").text("until")));
    if (!scene.viewer.club) return share_with_club(scene.context(), until);
    return share_with_club(scene.context(), *scene.viewer.club, until);
}

}  // namespace

void add_circle_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/circles", circles_page);
    on_post(router, house, "/circles/invite", invite_sent);
    on_post(router, house, "/circles/let-in", [](const Scene& scene) { return after(scene, let_in_as_typed(scene)); });
    on_post(router, house, "/circles/reach",
            [](const Scene& scene) { return after(scene, reach_as_typed(scene), "address"); });
    on_post(router, house, "/circles/share",
            [](const Scene& scene) { return after(scene, share_as_typed(scene), "until"); });
    on_post(router, house, "/circles/unshare",
            [](const Scene& scene) { return after(scene, stop_sharing(scene.context())); });
}

}  // namespace ladderline::node::web
