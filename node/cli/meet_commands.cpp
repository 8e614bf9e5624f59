#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/meeting_advice.hpp"
#include "node/commands/meeting_card.hpp"
#include "node/commands/meeting_ends.hpp"
#include "node/commands/path_pause.hpp"

namespace ladderline::node::cli {
namespace {

using protocol::MeetOutcome;

constexpr std::size_t starts_proposed = 5;

struct MeetOptions {
    MeetRequest request;
    std::string at;
    std::string made;
    std::string nobody_heard;
    std::string moved;
    std::string again;
    std::string card;
    std::string calendar;
    bool propose = false;
    ChanceRequest chance;
};

std::string id_of(const std::string& typed) {
    return typed == "last" ? "" : typed;
}

boost::json::value meeting_json(const Context& context, const WayView& view, const MeetingView& m) {
    return {{"id", to_hex(m.id.view())},
            {"start", to_iso_minute(m.meeting.start)},
            {"who", ends_words(context, view, m)},
            {"first", m.meeting.first_frequency},
            {"second", m.meeting.second_frequency},
            {"mode", m.meeting.mode},
            {"outcome", outcome_word(m, context.now())},
            {"called_off", is_called_off(view, m, context.today())}};
}

std::string meeting_line(const Context& context, const WayView& view, const MeetingView& m) {
    std::string line = to_hex(m.id.view()).substr(0, 8) + "  " + to_iso_minute(m.meeting.start) + "  " +
                       ends_words(context, view, m) + " on " + m.meeting.first_frequency;
    if (!m.meeting.second_frequency.empty()) line += ", then " + m.meeting.second_frequency;
    line += " MHz " + m.meeting.mode;
    if (!m.meeting.fallback.empty()) line += ", else " + m.meeting.fallback;
    const bool is_off = is_called_off(view, m, context.today());
    return line + "  [" + std::string(is_off ? called_off_words : outcome_word(m, context.now())) + "]";
}

Result<Answer> list_meetings(Context& context, const std::string& who) {
    TRY(const WayView view, way(context, who));
    std::vector<std::string> text;
    boost::json::array json;
    for (const MeetingView& m : view.meetings) {
        text.push_back(meeting_line(context, view, m));
        json.push_back(meeting_json(context, view, m));
    }
    if (text.empty()) text.emplace_back("No contact is arranged. 'ladderline meet --propose' shows what suits both.");
    return Answer{lines(text), std::move(json)};
}

// Whom the advice is about: on the own way the one named, else the mentor; on somebody else's oneself.
Result<PersonView> far_end(Context& context, const WayView& view, const std::string& with) {
    if (view.owner.id != context.me.id()) return myself(context, view.circle.id);
    if (!with.empty()) return find_person(context, view.circle.id, with);
    const PersonView* mentor = mentor_on(view);
    if (mentor != nullptr) return *mentor;
    return Error{Fault::not_found, "Nobody is with you on your way yet; let a mentor in first."};
}

void add_starts(std::vector<std::string>& text, boost::json::object& json, Context& context, const WayView& view,
                const PersonView& other) {
    const auto starts = propose_starts_for(context, view, other, starts_proposed);
    boost::json::array out;
    if (!starts) {
        text.push_back(starts.error().sentence());
    } else {
        text.emplace_back(starts.value().empty() ? "In the next two weeks there is no time that suits both."
                                                 : "Times that suit both:");
        for (const domain::ProposedStart& s : starts.value()) {
            text.push_back("  " + to_iso_minute(s.start) + "  " + domain::to_text(s.for_a) + " for " + view.owner.name +
                           ", " + domain::to_text(s.for_b) + " for " + other.name +
                           (s.is_after_change ? "  (clocks were just changed: look twice)" : ""));
            out.push_back({{"start", to_iso_minute(s.start)},
                           {"owner", domain::to_text(s.for_a)},
                           {"mentor", domain::to_text(s.for_b)},
                           {"after_change", s.is_after_change}});
        }
    }
    json["starts"] = std::move(out);
}

void add_frequencies(std::vector<std::string>& text, boost::json::object& json, const WayView& view,
                     const PersonView& other) {
    boost::json::array out;
    text.emplace_back("Frequencies to begin with, by the rule book:");
    for (const domain::JudgedPlace& place : frequencies_for(view, other)) {
        const bool known = place.both.verdict == domain::Verdict::yes;
        const std::string mhz = domain::megahertz_text(place.place.hz);
        text.push_back("  " + mhz + " MHz " + place.place.mode + "  " + place.place.note +
                       (known ? "" : "  [not known]"));
        out.push_back({{"mhz", mhz},
                       {"mode", place.place.mode},
                       {"note", place.place.note},
                       {"verdict", to_word(place.both.verdict)}});
    }
    const MeetingEnds ends = ends_of(view, other);
    for (const domain::RadioEnd* end : {&ends.one, &ends.other}) {
        if (end->licence_class.empty() && !end->is_guest) {
            text.push_back("The class of " + end->name + " is not known here; it stands on their card (card --class).");
        }
    }
    for (const std::string& s : domain::guest_words(own_rule_book(), ends.one, ends.other)) text.push_back(s);
    json["frequencies"] = std::move(out);
}

Result<Answer> propose(Context& context, const MeetOptions& o) {
    TRY(const WayView view, way(context, o.request.who));
    TRY(const PersonView other, far_end(context, view, o.request.with));
    std::vector<std::string> text;
    boost::json::object json;
    add_starts(text, json, context, view, other);
    add_frequencies(text, json, view, other);
    ChanceRequest ask = o.chance;
    ask.mhz = o.request.first_frequency.empty() ? "146.55" : o.request.first_frequency;
    ask.start = context.now();
    if (!o.at.empty()) {
        TRY(ask.start, parse_utc(o.at));
    }
    TRY(const domain::Chance chance, chance_for(view, other, with_own_station(context, view, ask)));
    text.push_back("Can it work on " + ask.mhz + " MHz?");
    boost::json::array said;
    for (const std::string& sentence : chance.sentences) {
        text.push_back("  " + sentence);
        said.push_back(boost::json::value(sentence));
    }
    json["chance"] = std::move(said);
    const std::string guardian = guardian_words(view);
    if (!guardian.empty()) text.push_back(guardian);
    return Answer{lines(text), std::move(json)};
}

Result<Answer> show_card(Context& context, const MeetOptions& o) {
    TRY(const WayView view, way(context, o.request.who));
    TRY(const MeetingView meeting, find_meeting(view, id_of(o.card)));
    const std::string text = lines(card_lines(meeting_card(context, view, meeting)));
    return Answer{text, {{"card", text}}};
}

Result<Answer> show_calendar(Context& context, const MeetOptions& o) {
    TRY(const WayView view, way(context, o.request.who));
    std::vector<MeetingView> meetings = view.meetings;
    if (o.calendar != "all") {
        TRY(const MeetingView one, find_meeting(view, id_of(o.calendar)));
        meetings = {one};
    }
    std::string text = meetings_calendar(view, meetings, context.now());
    if (text.ends_with("\r\n")) text.resize(text.size() - 1);  // the last line break is the printer's
    return Answer{text, {{"calendar", text}}};
}

Result<Answer> set_again(Context& context, const MeetOptions& o) {
    if (o.at.empty()) return Error{Fault::bad_input, "Say the new time in UTC: --at 2026-11-25T19:30Z."};
    TRY(const WayView view, way(context, o.request.who));
    TRY(const MeetingView earlier, meeting_to_repeat(view, id_of(o.again), context.now()));
    MeetRequest request = again(context, view, earlier, o.request.who);
    TRY(request.start, parse_utc(o.at));
    TRY(const Done done, meet(context, request));
    return answer_of(done);
}

Result<Answer> do_meet(Context& context, const MeetOptions& o) {
    const std::pair<const std::string*, MeetOutcome> outcomes[] = {
        {&o.made, MeetOutcome::made}, {&o.nobody_heard, MeetOutcome::nobody_heard}, {&o.moved, MeetOutcome::moved}};
    for (const auto& [meeting, outcome] : outcomes) {
        if (meeting->empty()) continue;
        TRY(const Done done, meet_outcome(context, {o.request.who, id_of(*meeting), outcome}));
        return answer_of(done);
    }
    if (!o.again.empty()) return set_again(context, o);
    if (!o.card.empty()) return show_card(context, o);
    if (!o.calendar.empty()) return show_calendar(context, o);
    if (o.propose) return propose(context, o);
    if (o.at.empty()) return list_meetings(context, o.request.who);
    MeetRequest request = o.request;
    TRY(request.start, parse_utc(o.at));
    TRY(const Done done, meet(context, request));
    return answer_of(done);
}

void add_chance_options(CLI::App* sub, MeetOptions& o) {
    const auto number = [sub](const char* name, std::optional<double>& into, const char* help) {
        sub->add_option_function<double>(
            name, [&into](double value) { into = value; }, help);
    };
    sub->add_option("--from", o.chance.one_locator, "With --propose: the newcomer's locator; the card's without it");
    sub->add_option("--to", o.chance.other_locator, "With --propose: the other's locator");
    number("--height", o.chance.one_height_m, "With --propose: height of the newcomer's antenna, m");
    number("--other-height", o.chance.other_height_m, "With --propose: height of the other's, m");
    number("--watt", o.chance.power_w, "With --propose: power of the weaker station");
}

}  // namespace

void add_meet_commands(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("meet", "Arrange a contact on the air, or say what became of it");
    auto o = std::make_shared<MeetOptions>();
    sub->add_option("who", o->request.who, "The newcomer whose way you share; your own way without it");
    sub->add_option("--with", o->request.with, "On your own way: with whom; your mentor without it");
    sub->add_option("--at", o->at, "Start in UTC, as 2026-11-25T19:30Z");
    sub->add_option("--first", o->request.first_frequency, "First frequency in MHz");
    sub->add_option("--second", o->request.second_frequency, "Second frequency in MHz");
    sub->add_option("--mode", o->request.mode, "FM, SSB, CW ...");
    sub->add_option("--fallback", o->request.fallback, "How to reach one another if nothing is heard");
    sub->add_option("--words", o->request.words, "What to say first and last");
    sub->add_option("--made", o->made, "It was made: first digits of its id, or 'last'");
    sub->add_option("--nobody-heard", o->nobody_heard, "Nobody heard: its id, or 'last'");
    sub->add_option("--moved", o->moved, "It is moved: its id, or 'last'");
    sub->add_option("--again", o->again, "The same once more at another time (--at): its id, or 'last'");
    sub->add_option("--card", o->card, "The card to print: its id, or 'last'");
    sub->add_option("--calendar", o->calendar, "As a calendar file: its id, 'last' or 'all'");
    sub->add_flag("--propose", o->propose, "Times and frequencies that suit both, and whether the path can work");
    add_chance_options(sub, *o);
    sub->callback([&out, o] { out.command = [o](Context& context) { return do_meet(context, *o); }; });
}

}  // namespace ladderline::node::cli
