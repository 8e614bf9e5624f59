#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/pair_board.hpp"
#include "node/commands/pair_requests.hpp"
#include "node/commands/pair_reviews.hpp"
#include "node/commands/pair_wishes.hpp"

namespace ladderline::node::cli {
namespace {

using boost::json::array;
using boost::json::object;
using boost::json::value;

array json_of(const std::vector<std::string>& all) {
    array out;
    for (const std::string& one : all) out.push_back(value(one));
    return out;
}

void add_line(const PairLine& line, std::vector<std::string>& text) {
    text.push_back(line.newcomer_name + " - " + (line.mentor ? line.mentor_name : "nobody yet") +
                   (line.comes_first ? "  (comes first: the mentor could not be reached)" : ""));
    for (const std::string& part : line.parts) text.push_back("    " + part);
    for (const std::string& wish : line.wishes) text.push_back("    " + wish);
    for (const std::string& other : line.next_best) text.push_back("    also: " + other);
    if (!line.better_elsewhere.empty()) text.push_back("    " + line.better_elsewhere);
    if (!line.mentor) {
        for (const std::string& reason : line.reasons_not) text.push_back("    not: " + reason);
    }
}

value json_of(const PairOutcome& outcome) {
    array moves;
    for (const PairMoveLine& move : outcome.moves) {
        moves.push_back({{"newcomer", move.newcomer}, {"from", move.from}, {"to", move.to}});
    }
    return {{"newcomers", outcome.newcomers},
            {"paired", outcome.paired},
            {"points", outcome.points},
            {"moves", std::move(moves)},
            {"sentence", outcome.sentence}};
}

value json_of(const std::optional<PairOutcome>& outcome) {
    return outcome ? json_of(*outcome) : value();
}

object json_of(const PairBoard& board) {
    array pairs;
    for (const PairLine& line : board.best.lines) {
        pairs.push_back({{"newcomer", line.newcomer_name},
                         {"mentor", line.mentor_name},
                         {"cost", line.cost},
                         {"days_waiting", line.days_waiting},
                         {"comes_first", line.comes_first},
                         {"beside", line.beside},
                         {"wishes", json_of(line.wishes)},
                         {"reasons_not", json_of(line.reasons_not)}});
    }
    array what_if;
    for (const WhatIf& one : board.what_if) {
        what_if.push_back({{"mentor", one.name}, {"one_more", json_of(one.one_more)}, {"pause", json_of(one.pause)}});
    }
    array open;
    for (const OpenRequest& one : board.open) {
        open.push_back({{"newcomer", one.newcomer_name},
                        {"mentor", one.mentor_name},
                        {"since", to_iso(one.since)},
                        {"newcomer_said_yes", one.newcomer_said_yes},
                        {"mentor_said_yes", one.mentor_said_yes}});
    }
    array standing;
    for (const PairOfClub& one : board.standing) {
        standing.push_back({{"newcomer", one.newcomer_name},
                            {"mentor", one.mentor_name},
                            {"since", to_iso(one.since)},
                            {"mentor_rests", one.mentor_rests}});
    }
    return {{"club", board.best.club},
            {"newcomers", board.best.newcomers},
            {"paired", board.best.paired},
            {"points", board.best.pair_cost + board.best.load_cost},
            {"pairs", std::move(pairs)},
            {"weights", json_of(board.weights)},
            {"fair", json_of(board.fair.outcome)},
            {"fair_price", board.fair.price},
            {"fair_worst", board.fair.worst},
            {"worst", board.fair.worst_best},
            {"blocking_pairs", board.blocking_pairs},
            {"kept",
             {{"together", board.kept.together},
              {"more_paired", board.kept.more_paired},
              {"saves", board.kept.saves},
              {"moves", board.kept.moves}}},
            {"what_if", std::move(what_if)},
            {"second_adults", json_of(board.second_adults)},
            {"open", std::move(open)},
            {"standing", std::move(standing)},
            {"reviews", json_of(board.reviews)}};
}

std::string answers_of(const OpenRequest& one) {
    if (one.newcomer_said_yes) return "the newcomer said yes, the mentor has not answered";
    if (one.mentor_said_yes) return "the mentor said yes, the newcomer has not answered";
    return "nobody has answered yet";
}

Answer board_answer(const PairBoard& board) {
    const PairProposal& p = board.best;
    std::vector<std::string> text{p.club + ": " + std::to_string(p.paired) + " of " + std::to_string(p.newcomers) +
                                  " newcomers without a mentor could be paired; the officer decides."};
    for (const PairLine& line : p.lines) add_line(line, text);
    if (!board.open.empty()) text.emplace_back("Proposed, and waiting for an answer:");
    for (const OpenRequest& one : board.open) {
        text.push_back("  " + one.newcomer_name + " with " + one.mentor_name + ", since " + to_iso(one.since) + ": " +
                       answers_of(one));
    }
    if (!board.reviews.empty()) text.emplace_back("Reviews of pairings:");
    for (const std::string& sentence : board.reviews) text.push_back("  " + sentence);
    for (const PairOfClub& pair : board.standing) {
        if (pair.mentor_rests) text.push_back(pair.mentor_name + " rests; with them is " + pair.newcomer_name + ".");
    }
    text.emplace_back("What else could be done:");
    text.push_back("  " + board.fair.outcome.sentence);
    text.push_back("  " + board.blocking_sentence);
    text.push_back("  " + board.kept.sentence);
    for (const std::string& caution : board.kept.cautions) text.push_back("    " + caution);
    for (const WhatIf& one : board.what_if) {
        text.push_back("  " + one.one_more->sentence);
        text.push_back("  " + one.pause->sentence);
    }
    if (!board.second_adults.empty()) text.emplace_back("Second adults:");
    for (const std::string& sentence : board.second_adults) text.push_back("  " + sentence);
    std::string weights;
    for (const std::string& weight : board.weights) weights += (weights.empty() ? "" : ", ") + weight;
    text.push_back("Points lost at most: " + weights +
                   "; 0 is a perfect match, 1000 none. Each further newcomer of "
                   "one mentor costs 20 points more than the one before.");
    text.push_back(p.note);
    return {lines(text), json_of(board)};
}

struct PairOptions {
    std::string newcomer;
    std::vector<std::string> mentors;
    bool ask = false;
    bool take_back = false;
    bool end = false;
    bool apart = false;
    bool together = false;
    std::string unreachable;
    std::string cleared;
    std::string until;
    std::int64_t beside = 1;
    bool not_cleared = false;
};

Result<Done> one_pair(Context& context, const PairOptions& o) {
    if (o.mentors.empty()) return Error{Fault::bad_input, "Name the mentor as well; nothing was stored."};
    if (o.ask) return ask_pair(context, o.newcomer, o.mentors);
    if (o.mentors.size() > 1) {
        return Error{Fault::bad_input, "Several mentors go with --ask alone, for the newcomer to choose from."};
    }
    const std::string& mentor = o.mentors.front();
    if (o.take_back) return withdraw_pair(context, o.newcomer, mentor);
    if (o.end) return end_pair(context, o.newcomer, mentor);
    if (o.apart || o.together) return keep_apart(context, o.newcomer, mentor, o.apart);
    return agree_pair(context, o.newcomer, mentor);
}

Result<Done> clearance(Context& context, const PairOptions& o) {
    if (o.not_cleared) return note_clearance(context, o.cleared, std::nullopt, 0);
    if (o.until.empty()) return Error{Fault::bad_input, "Give the last day of the clearance with --until."};
    TRY(const Day until, parse_day(o.until));
    return note_clearance(context, o.cleared, until, o.beside);
}

void add_pair(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("pair", "For officers: the pairing board, and what is done about pairs");
    auto o = std::make_shared<PairOptions>();
    sub->add_option("newcomer", o->newcomer, "A newcomer of the club; the whole board without it");
    sub->add_option("mentors", o->mentors, "The mentor; several with --ask");
    sub->add_flag("--ask", o->ask, "Ask the newcomer and the mentors instead of agreeing at once");
    sub->add_flag("--take-back", o->take_back, "Take a proposal back that was not answered");
    sub->add_flag("--end", o->end, "The pairing ends; no reason needed");
    sub->add_flag("--apart", o->apart, "Leave this pair out of your proposals (noted on your machines alone)");
    sub->add_flag("--together", o->together, "Take that note back");
    sub->add_option("--unreachable", o->unreachable, "This mentor cannot be reached any more: end all their pairings");
    sub->add_option("--cleared", o->cleared, "You have seen the clearance of this adult (noted on your machines)");
    sub->add_option("--until", o->until, "The clearance's last day, 2027-05-31");
    sub->add_option("--beside", o->beside, "How many newcomers under 18 they can be the second adult of");
    sub->add_flag("--not-cleared", o->not_cleared, "With --cleared: forget that note");
    sub->callback([&out, o] {
        out.command = [o](Context& context) -> Result<Answer> {
            if (!o->unreachable.empty()) {
                TRY(const Done done, mentor_out_of_reach(context, o->unreachable));
                return answer_of(done);
            }
            if (!o->cleared.empty()) {
                TRY(const Done done, clearance(context, *o));
                return answer_of(done);
            }
            if (o->newcomer.empty()) {
                TRY(const PairBoard board, pair_board(context));
                return board_answer(board);
            }
            TRY(const Done done, one_pair(context, *o));
            return answer_of(done);
        };
    });
}

}  // namespace

void add_pair_commands(CLI::App& app, CommandLine& out) {
    add_pair(app, out);
}

}  // namespace ladderline::node::cli
