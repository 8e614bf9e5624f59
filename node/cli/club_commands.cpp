#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/pairing.hpp"
#include "node/commands/review.hpp"

namespace ladderline::node::cli {
namespace {

Answer proposal_answer(const PairProposal& p) {
    std::vector<std::string> text{p.club + ": " + std::to_string(p.paired) + " of " + std::to_string(p.newcomers) +
                                  " newcomers without a mentor could be paired; the officer decides."};
    boost::json::array json;
    for (const PairLine& line : p.lines) {
        text.push_back(line.newcomer_name + " - " + (line.mentor ? line.mentor_name : "nobody yet"));
        for (const std::string& part : line.parts) text.push_back("    " + part);
        for (const std::string& other : line.next_best) text.push_back("    also: " + other);
        if (!line.better_elsewhere.empty()) text.push_back("    " + line.better_elsewhere);
        if (!line.mentor) {
            for (const std::string& reason : line.reasons_not) text.push_back("    not: " + reason);
        }
        json.push_back({{"newcomer", line.newcomer_name}, {"mentor", line.mentor_name}, {"cost", line.cost}});
    }
    if (!p.note.empty()) text.push_back(p.note);
    return {lines(text), std::move(json)};
}

struct PairOptions {
    std::string newcomer;
    std::string mentor;
    bool end = false;
};

void add_pair(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("pair", "Propose who could mentor whom, or agree or end a pairing");
    auto o = std::make_shared<PairOptions>();
    sub->add_option("newcomer", o->newcomer, "A newcomer of the club; the proposal without it");
    sub->add_option("mentor", o->mentor, "The mentor");
    sub->add_flag("--end", o->end, "The pairing ends; no reason needed");
    sub->callback([&out, o] {
        out.command = [o](Context& context) -> Result<Answer> {
            if (o->newcomer.empty()) {
                TRY(const PairProposal proposal, propose_pairs(context));
                return proposal_answer(proposal);
            }
            TRY(const Done done,
                o->end ? end_pair(context, o->newcomer, o->mentor) : agree_pair(context, o->newcomer, o->mentor));
            return answer_of(done);
        };
    });
}

void add_names(std::vector<std::string>& text, const std::string& title, const std::vector<std::string>& names) {
    if (names.empty()) return;
    text.push_back(title);
    for (const std::string& name : names) text.push_back("  " + name);
}

Answer review_answer(const Review& r) {
    std::vector<std::string> text{"Review of " + r.club, r.as_of_sentence};
    boost::json::array needs;
    if (!r.pinned.empty()) text.emplace_back("Dates that do not move:");
    for (const ReviewPin& pin : r.pinned) text.push_back("  " + pin.name + ": " + pin.sentence);
    text.emplace_back("Who needs us:");
    for (const ReviewLine& line : r.lines) {
        text.push_back("  " + line.name + (line.call_sign.empty() ? "" : " (" + line.call_sign + ")") +
                       (line.stage.empty() ? "" : ", stage " + line.stage) +
                       (line.mentor_name.empty() ? ", no mentor" : ", with " + line.mentor_name));
        boost::json::array reasons;
        for (const std::string& reason : line.reasons) {
            text.push_back("      " + reason);
            reasons.push_back(boost::json::value(reason));
        }
        if (line.reasons.empty()) text.emplace_back("      Nothing stands out.");
        needs.push_back({{"name", line.name},
                         {"stage", line.stage},
                         {"mentor", line.mentor_name},
                         {"reasons", std::move(reasons)}});
    }
    if (r.lines.empty()) text.emplace_back("  Nobody shares their row with the club yet.");
    add_names(text, "Without a mentor:", r.without_mentor);
    if (!r.with_room.empty()) text.emplace_back("Mentors with room:");
    for (const MentorLine& m : r.with_room) text.push_back("  " + m.name + ": room for " + std::to_string(m.places));
    for (const MentorLine& m : r.over_five)
        text.push_back("  " + m.name + " carries " + std::to_string(m.carries) + "; more than five is a lot.");
    text.push_back(r.on_air.sentence);
    text.push_back("Not known: " + std::to_string(r.unknown) + ".");
    return {lines(text), {{"club", r.club}, {"needs", std::move(needs)}, {"unknown", r.unknown}}};
}

Answer question_answer(const ReviewAnswer& a) {
    std::vector<std::string> text{std::to_string(a.number) + ". " + a.title};
    boost::json::array who;
    for (const ReviewedPerson& p : a.who) {
        text.push_back("  " + p.name + (p.detail.empty() ? "" : ": " + p.detail));
        who.push_back({{"name", p.name}, {"detail", p.detail}});
    }
    if (a.who.empty()) text.emplace_back("  Nobody, as far as is known.");
    if (a.as_of) text.push_back("As of " + to_iso_minute(*a.as_of) + ".");
    text.push_back("Not known: " + std::to_string(a.unknown) + ". " + a.cannot_know);
    return {lines(text), {{"number", a.number}, {"who", std::move(who)}, {"unknown", a.unknown}}};
}

void add_review(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("review", "Who needs us, who has no mentor, and what the club does not know");
    auto number = std::make_shared<int>(0);
    auto held = std::make_shared<bool>(false);
    sub->add_option("question", *number, "One of the club's numbered questions; the whole review without it");
    sub->add_flag("--held", *held, "The review meeting was held today");
    sub->callback([&out, number, held] {
        out.command = [number, held](Context& context) -> Result<Answer> {
            if (*held) {
                TRY(const Done done, review_held(context));
                return answer_of(done);
            }
            if (*number != 0) {
                TRY(const ReviewAnswer answer, question(context, *number));
                return question_answer(answer);
            }
            TRY(const Review all, review(context));
            return review_answer(all);
        };
    });
}

}  // namespace

void add_club_commands(CLI::App& app, CommandLine& out) {
    add_pair(app, out);
    add_review(app, out);
}

}  // namespace ladderline::node::cli
