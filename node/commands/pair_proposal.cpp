// The proposal of pairs in words, and what else could be done.

#include "node/commands/pair_proposal.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "node/domain/pairing/exchange.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::CostPart;
using domain::WhyNot;
using Tables = PairTables;

std::string listed(const std::vector<std::string>& values, const std::string& if_none) {
    std::string out;
    for (const std::string& value : values) out += (out.empty() ? "" : ", ") + value;
    return out.empty() ? if_none : out;
}

std::vector<std::string> common(const std::vector<std::string>& a, const std::vector<std::string>& b) {
    std::vector<std::string> out;
    std::set_intersection(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(out));
    return out;
}

// What is known of a part, in words; empty for parts that the club holds nothing about.
std::string part_in_words(const Tables& tables, std::size_t newcomer, std::size_t mentor, CostPart part) {
    const domain::PairingNewcomer& a = tables.newcomer_facts[newcomer];
    const domain::PairingMentor& b = tables.mentor_facts[mentor];
    const domain::PairFacts facts = tables.facts(newcomer, mentor);
    switch (part) {
        case CostPart::common_time:
            return std::to_string(std::lround(facts.weekly_common_minutes)) + " minutes a week";
        case CostPart::distance:
            return facts.apart ? to_text(*facts.apart) : "not known, a locator is missing";
        case CostPart::bands_and_modes:
            if (a.bands_and_modes.empty() && b.bands_and_modes.empty()) return "neither names any";
            return listed(common(a.bands_and_modes, b.bands_and_modes), "none in common");
        case CostPart::goals:
            if (a.goals.empty() && b.goals.empty()) return "neither names any";
            return listed(common(a.goals, b.goals), "none in common");
        case CostPart::class_above:
            if (b.class_held == domain::ClassRank::none) return "the mentor's is not on the card";
            return b.class_held > a.class_held ? "the mentor's is above" : "the mentor's is not above";
        case CostPart::language:
            return common_languages(tables, newcomer, mentor);
    }
    return {};
}

std::string_view shown_label(CostPart part) {
    return part == CostPart::goals ? std::string_view("topics") : domain::label_of(part);
}

std::vector<std::string> parts_in_words(const Tables& tables, std::size_t newcomer, std::size_t mentor,
                                        const domain::PairCost& cost) {
    std::vector<std::string> out;
    for (std::size_t k = 0; k < domain::cost_parts; ++k) {
        const auto part = static_cast<CostPart>(k);
        const std::string words = part_in_words(tables, newcomer, mentor, part);
        if (words.empty()) continue;
        const long all = std::lround(1000 * domain::PairWeights().of[k]);
        out.push_back(std::string(shown_label(part)) + ": " + words + " (" +
                      std::to_string(std::lround(cost.points_lost[k])) + " of " + std::to_string(all) +
                      " points lost)");
    }
    return out;
}

std::string in_words(const Tables& tables, const domain::Alternative& other, std::int32_t chosen_cost) {
    std::string out =
        tables.mentors[other.mentor]->name + ": " + std::to_string(other.cost - chosen_cost) + " points more";
    std::vector<std::string> lacks;
    for (const CostPart part : other.lacks) lacks.emplace_back(shown_label(part));
    if (!lacks.empty()) out += ", for " + listed(lacks, "");
    return out;
}

std::string in_words(const Tables& tables, const domain::BetterElsewhere& better, const std::string& newcomer) {
    const std::string start = "The best for " + newcomer + " alone is " + tables.mentors[better.mentor]->name + ", ";
    if (better.fewer_paired > 0) return start + "but then somebody else would be left without a mentor.";
    return start + "whose places go to people for whom another mentor would cost more (" +
           std::to_string(better.price) + " points over all).";
}

std::string reason_in_words(const Tables& tables, std::size_t newcomer, std::uint32_t mentor, WhyNot reason) {
    const bool time_unknown = !tables.newcomer_places[newcomer].times || !tables.mentor_places[mentor].times;
    if (reason == WhyNot::too_little_common_time && time_unknown) {
        const bool of_newcomer = !tables.newcomer_places[newcomer].times;
        return "Their common time is not known: weekly times or the time zone are missing on the card of " +
               (of_newcomer ? tables.newcomers[newcomer]->person.name : tables.mentors[mentor]->name) + ".";
    }
    return std::string(domain::to_sentence(reason));
}

// Mentors who cannot be for one and the same reason.
struct AlikeOut {
    const std::string* text = nullptr;
    std::vector<std::string> mentors;
};

// "Ada, Ben", of many "Ada, Ben, ... and 230 more".
std::string some_of(const std::vector<std::string>& names) {
    constexpr std::size_t named_max = 20;
    if (names.size() <= named_max) return listed(names, "");
    return listed({names.begin(), names.begin() + named_max}, "") + " and " + std::to_string(names.size() - named_max) +
           " more";
}

void fill_reasons_not(const Tables& tables, std::size_t newcomer, PairLine& line) {
    const std::string& gate = tables.gate[newcomer];
    if (!gate.empty()) line.reasons_not.push_back(gate);
    const bool said_once = !gate.empty() && tables.second.may_be[newcomer].empty();
    const domain::Choices& choices = tables.table.choices[newcomer];
    std::map<std::string, std::size_t> by_reason;  // places in `alike`
    std::vector<AlikeOut> alike;
    for (const domain::RuledOut& out : choices.ruled_out) {
        std::string text;
        for (const WhyNot reason : out.reasons.listed()) {
            const bool is_safeguard = reason >= WhyNot::no_guardian_consent && reason <= WhyNot::mentor_clearance_ends;
            if (is_safeguard && said_once) continue;
            text += " " + reason_in_words(tables, newcomer, out.mentor, reason);
        }
        if (text.empty()) continue;
        const auto [place, is_new] = by_reason.emplace(std::move(text), alike.size());
        if (is_new) alike.push_back({&place->first, {}});
        alike[place->second].mentors.push_back(tables.mentors[out.mentor]->name);
    }
    for (const AlikeOut& one : alike) line.reasons_not.push_back(some_of(one.mentors) + ":" + *one.text);
    if (line.mentor) return;
    std::vector<std::string> full;
    for (const domain::Candidate& one : choices.candidates) full.push_back(tables.mentors[one.mentor]->name);
    if (!full.empty()) line.reasons_not.push_back("Would suit, but has no free place left: " + some_of(full) + ".");
    if (tables.mentors.empty()) line.reasons_not.emplace_back("Nobody in the club mentors yet.");
}

// What it would cost all together to grant a wish; exact.
std::string wish_in_words(const Proposed& proposed, std::size_t newcomer, const MemberId& wanted) {
    const Tables& tables = proposed.tables;
    const auto person = tables.people->all.find(wanted);
    const std::string name = person == tables.people->all.end() ? std::string() : person->second.name;
    if (name.empty()) return {};
    const std::string start = "Would like " + name + ": ";
    const std::int32_t mentor = tables.number_of(wanted);
    if (mentor == domain::nobody) return start + "who takes no newcomers now.";
    if (proposed.assignment.mentor_of[newcomer] == mentor) return start + "that is this proposal.";
    const auto change = domain::insist_on(tables.table.problem, proposed.assignment,
                                          static_cast<std::uint32_t>(newcomer), static_cast<std::uint32_t>(mentor));
    if (!change) return start + "cannot be now; the reason stands below, or no place is free.";
    if (change->totals.paired < proposed.assignment.totals.paired) {
        return start + "but then somebody else would be left without a mentor.";
    }
    const std::int64_t more = change->totals.objective - proposed.assignment.totals.objective;
    return start + "that would cost " + std::to_string(more) + " points more over all.";
}

PairLine line_of(const Proposed& proposed, std::size_t newcomer) {
    const Tables& tables = proposed.tables;
    const ClubNewcomer& person = *tables.newcomers[newcomer];
    PairLine line;
    line.newcomer = person.person.id;
    line.newcomer_name = person.person.name;
    line.days_waiting = tables.newcomer_facts[newcomer].days_waiting;
    line.comes_first = tables.newcomer_facts[newcomer].comes_first;
    const auto why = domain::why_this_mentor(tables.table, proposed.assignment, static_cast<std::uint32_t>(newcomer));
    if (why) {
        const auto mentor = static_cast<std::size_t>(proposed.assignment.mentor_of[newcomer]);
        line.mentor = tables.mentors[mentor]->id;
        line.mentor_name = tables.mentors[mentor]->name;
        line.cost = why->cost.cost;
        line.parts = parts_in_words(tables, newcomer, mentor, why->cost);
        for (const domain::Alternative& other : why->next_best) {
            line.next_best.push_back(in_words(tables, other, line.cost));
            line.others.push_back(tables.mentors[other.mentor]->id);
        }
        if (why->best_alone) line.better_elsewhere = in_words(tables, *why->best_alone, line.newcomer_name);
    }
    if (const PairingWishBody* wish = tables.state->wish_of(line.newcomer)) {
        for (std::size_t k = 0; k < std::min<std::size_t>(wish->would_like.size(), would_like_max); ++k) {
            std::string words = wish_in_words(proposed, newcomer, wish->would_like[k]);
            if (!words.empty()) line.wishes.push_back(std::move(words));
        }
    }
    const std::int32_t adult = proposed.adult_of[newcomer];
    if (adult != domain::nobody) {
        line.beside = tables.adults[static_cast<std::size_t>(adult)]->name;
    }
    fill_reasons_not(tables, newcomer, line);
    return line;
}

}  // namespace

PairProposal in_words(const Proposed& proposed, std::size_t first, std::size_t lines_max) {
    const Tables& tables = proposed.tables;
    PairProposal out;
    out.club = tables.people->club.name;
    out.newcomers = tables.newcomers.size();
    out.paired = static_cast<std::size_t>(proposed.assignment.totals.paired);
    out.pair_cost = proposed.assignment.totals.pair_cost;
    out.load_cost = proposed.assignment.totals.load_cost;
    for (const domain::PairingMentor& mentor : tables.mentor_facts)
        out.places += static_cast<std::size_t>(mentor.places);
    const std::size_t left = tables.newcomers.size() - std::min(first, tables.newcomers.size());
    for (std::size_t newcomer = first; newcomer < first + std::min(left, lines_max); ++newcomer) {
        out.lines.push_back(line_of(proposed, newcomer));
    }
    out.note =
        "Who has said nothing about languages, distance or remote help is taken to be open to all. Whom to keep "
        "apart, and whose clearance was seen, is what you noted here: it stays on your own machines, so another "
        "officer's proposal may differ. Ask both before you agree a pair.";
    return out;
}

Result<PairProposal> propose_pairs(Context& context) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const PairState state, pair_state(context, people.club.id));
    return in_words(solve_proposal(context, people, state));
}

}  // namespace ladderline::node
