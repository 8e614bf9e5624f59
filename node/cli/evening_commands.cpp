#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/evening.hpp"
#include "node/commands/meeting_card.hpp"
#include "protocol/base/comma_list.hpp"

namespace ladderline::node::cli {
namespace {

constexpr std::size_t starts_proposed = 5;

struct EveningOptions {
    EveningRequest request;
    std::string at;
};

boost::json::array texts(const std::vector<std::string>& all) {
    boost::json::array out;
    for (const std::string& one : all) out.push_back(boost::json::value(one));
    return out;
}

Result<Answer> list_evenings(Context& context) {
    TRY(const auto all, evenings(context));
    std::vector<std::string> text;
    boost::json::array json;
    for (const EveningView& evening : all) {
        text.push_back(to_iso_minute(evening.start) + "  " + evening.frequency + " MHz " + evening.mode);
        boost::json::array people;
        for (const EveningView::Person& p : evening.people) {
            const std::string outcome(outcome_word(p.meeting, context.now()));
            text.push_back("  " + p.name + "  [" + outcome + "]");
            people.push_back({{"name", p.name}, {"outcome", outcome}, {"meeting", to_hex(p.meeting.id.view())}});
        }
        json.push_back({{"start", to_iso_minute(evening.start)},
                        {"frequency", evening.frequency},
                        {"mode", evening.mode},
                        {"people", std::move(people)}});
    }
    if (text.empty()) {
        text.emplace_back("No evening is arranged. Name two newcomers or more to see which times suit most of them.");
    } else {
        text.emplace_back("What became of it, for each: ladderline meet NAME --made last.");
    }
    return Answer{lines(text), std::move(json)};
}

Result<Answer> propose(Context& context, const EveningOptions& o) {
    TRY(const EveningProposal found, propose_evening(context, o.request.who, starts_proposed));
    std::vector<std::string> text;
    boost::json::array starts;
    text.emplace_back(found.starts.empty() ? "In the next two weeks no time suits you and any of them."
                                           : "Times that suit most of them:");
    for (const EveningStart& s : found.starts) {
        text.push_back("  " + to_iso_minute(s.start) + "  " + domain::to_text(s.local) +
                       (s.missing.empty() ? "  suits all who gave times" : "  does not suit " + joined(s.missing)));
        starts.push_back({{"start", to_iso_minute(s.start)}, {"missing", texts(s.missing)}});
    }
    if (!found.times_lack.empty()) {
        text.push_back("No weekly times on the card, so it is not known: " + joined(found.times_lack) + ".");
    }
    TRY(const auto places, evening_places(context, o.request.who));
    boost::json::array frequencies;
    text.emplace_back(places.empty() ? "Frequencies for all of you: not known, because somebody's class is not."
                                     : "Frequencies that all of you may use by the rule book:");
    for (const domain::MeetingPlace& place : places) {
        const std::string mhz = domain::megahertz_text(place.hz);
        text.push_back("  " + mhz + " MHz " + place.mode + "  " + place.note);
        frequencies.push_back({{"mhz", mhz}, {"mode", place.mode}});
    }
    return Answer{lines(text),
                  {{"starts", std::move(starts)},
                   {"times_lack", texts(found.times_lack)},
                   {"frequencies", std::move(frequencies)}}};
}

Result<Answer> do_evening(Context& context, const EveningOptions& o) {
    if (o.request.who.empty()) return list_evenings(context);
    if (o.at.empty()) return propose(context, o);
    EveningRequest request = o.request;
    TRY(request.start, parse_utc(o.at));
    TRY(const EveningDone done, arrange_evening(context, request));
    std::vector<std::string> text{done.sentence};
    text.insert(text.end(), done.remarks.begin(), done.remarks.end());
    return Answer{lines(text), {{"done", done.sentence}, {"remarks", texts(done.remarks)}}};
}

}  // namespace

void add_evening_commands(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("evening", "An evening on the air for several of your newcomers at once");
    auto o = std::make_shared<EveningOptions>();
    sub->add_option("who", o->request.who, "Two newcomers or more; without them the evenings arranged so far");
    sub->add_option("--at", o->at, "Start in UTC, as 2026-11-25T19:30Z; without it times that suit most");
    sub->add_option("--mhz", o->request.frequency, "Frequency of the net in MHz");
    sub->add_option("--second", o->request.second_frequency, "Second frequency in MHz");
    sub->add_option("--mode", o->request.mode, "FM, SSB, CW ...");
    sub->add_option("--fallback", o->request.fallback, "How to reach you if nothing is heard");
    sub->add_option("--words", o->request.words, "What to say first and last; no names");
    sub->callback([&out, o] { out.command = [o](Context& context) { return do_evening(context, *o); }; });
}

}  // namespace ladderline::node::cli
