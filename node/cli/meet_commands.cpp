#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/meetings.hpp"

namespace ladderline::node::cli {
namespace {

using protocol::MeetOutcome;

std::string outcome_words(const std::optional<MeetOutcome>& outcome) {
    if (!outcome) return "to come";
    switch (*outcome) {
        case MeetOutcome::made:
            return "made";
        case MeetOutcome::nobody_heard:
            return "nobody heard";
        case MeetOutcome::moved:
            break;
    }
    return "moved";
}

Result<Answer> list_meetings(Context& context, const std::string& who) {
    TRY(const WayView view, way(context, who));
    std::vector<std::string> text;
    boost::json::array json;
    for (const MeetingView& m : view.meetings) {
        const std::string id = to_hex(m.id.view()).substr(0, 8);
        const std::string when = to_iso_minute(m.meeting.start);
        std::string line = id + "  " + when + "  " + m.meeting.first_frequency;
        if (!m.meeting.second_frequency.empty()) line += ", then " + m.meeting.second_frequency;
        line += " MHz " + m.meeting.mode;
        if (!m.meeting.fallback.empty()) line += ", else " + m.meeting.fallback;
        text.push_back(line + "  [" + outcome_words(m.outcome) + "]");
        json.push_back({{"id", to_hex(m.id.view())},
                        {"start", when},
                        {"first", m.meeting.first_frequency},
                        {"second", m.meeting.second_frequency},
                        {"mode", m.meeting.mode},
                        {"outcome", outcome_words(m.outcome)}});
    }
    if (text.empty()) {
        text.emplace_back("No contact is arranged. Times that suit both:");
        const auto starts = propose_times(context, view, 5);
        if (starts) {
            for (const WallTime start : starts.value()) text.push_back("  " + to_iso_minute(start));
        } else {
            text.back() = "No contact is arranged. " + starts.error().sentence();
        }
    }
    return Answer{lines(text), std::move(json)};
}

struct MeetOptions {
    MeetRequest request;
    std::string at;
    std::string made;
    std::string nobody_heard;
    std::string moved;
};

Result<Answer> do_meet(Context& context, const MeetOptions& o) {
    const std::pair<const std::string*, MeetOutcome> outcomes[] = {
        {&o.made, MeetOutcome::made}, {&o.nobody_heard, MeetOutcome::nobody_heard}, {&o.moved, MeetOutcome::moved}};
    for (const auto& [meeting, outcome] : outcomes) {
        if (meeting->empty()) continue;
        const std::string id = *meeting == "last" ? "" : *meeting;
        TRY(const Done done, meet_outcome(context, {o.request.who, id, outcome}));
        return answer_of(done);
    }
    if (o.at.empty()) return list_meetings(context, o.request.who);
    MeetRequest request = o.request;
    TRY(request.start, parse_utc(o.at));
    TRY(const Done done, meet(context, request));
    return answer_of(done);
}

void add_meet(CLI::App& app, CommandLine& out) {
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
    sub->callback([&out, o] { out.command = [o](Context& context) { return do_meet(context, *o); }; });
}

}  // namespace

void add_meet_commands(CLI::App& app, CommandLine& out) {
    add_meet(app, out);
}

}  // namespace ladderline::node::cli
