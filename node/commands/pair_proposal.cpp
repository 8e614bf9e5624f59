// The proposal of pairs: people's cards and rows go in, reasons come out.

#include <algorithm>
#include <cmath>

#include "node/commands/club_people.hpp"
#include "node/commands/meetings.hpp"
#include "node/commands/pairing.hpp"
#include "node/domain/pairing/candidates.hpp"
#include "node/domain/radio/path.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::CostPart;
using domain::WhyNot;

constexpr std::int32_t pairing_days = 365;  // a clearance must hold so long
constexpr std::int32_t weeks_ahead = 4;
constexpr std::string_view any_language = "not held";  // cards name no language, so that all are taken as alike

domain::ClassRank rank_of(const std::optional<CardBody>& card) {
    if (!card || card->licence_class.empty()) return domain::ClassRank::none;
    switch (card->licence_class.front()) {
        case 'N':
            return domain::ClassRank::novice;
        case 'T':
            return domain::ClassRank::technician;
        case 'G':
            return domain::ClassRank::general;
        case 'A':
            return domain::ClassRank::advanced;
        case 'E':
            return domain::ClassRank::extra;
        default:
            return domain::ClassRank::none;
    }
}

std::vector<std::string> as_set(std::vector<std::string> values) {
    std::sort(values.begin(), values.end());
    values.erase(std::unique(values.begin(), values.end()), values.end());
    return values;
}

// What the pair's facts are worked out from.
struct Whereabouts {
    std::optional<std::vector<domain::TimeSpan>> times;  // over the next weeks; none: no weekly times, or no zone
    std::optional<domain::Position> place;
};

Whereabouts whereabouts_of(const PersonView& person, Day today) {
    Whereabouts out;
    if (!person.card) return out;
    if (!person.card->windows.empty()) {
        auto spans = domain::to_instants(availability(person), today, weeks_ahead * 7);
        if (spans) out.times = std::move(spans).value();
    }
    const auto locator = domain::Locator::parse(person.card->locator);
    if (locator) out.place = locator.value().centre();
    return out;
}

domain::PairFacts facts_of(const Whereabouts& a, const Whereabouts& b) {
    domain::PairFacts out;
    if (a.times && b.times) {
        std::int64_t minutes = 0;
        for (const domain::TimeSpan& span : domain::common_spans(*a.times, *b.times, 1)) minutes += span.minutes();
        out.weekly_common_minutes = static_cast<double>(minutes) / weeks_ahead;
    }
    if (a.place && b.place) out.distance_km = domain::shortest_way(*a.place, *b.place).distance_km();
    return out;
}

// Everyone in the numbers of the pairing problem.
struct Tables {
    const ClubPeople& people;
    std::vector<const ClubNewcomer*> newcomers;  // in the order in which they are served
    std::vector<const PersonView*> mentors;
    std::vector<domain::PairingNewcomer> newcomer_facts;
    std::vector<domain::PairingMentor> mentor_facts;
    std::vector<Whereabouts> newcomer_places;
    std::vector<Whereabouts> mentor_places;
    domain::PairingTable table;
    domain::Assignment assignment;

    domain::PairFacts facts(std::size_t newcomer, std::size_t mentor) const {
        return facts_of(newcomer_places[newcomer], mentor_places[mentor]);
    }
    const std::string& mentor_name(std::uint32_t mentor) const { return mentors[mentor]->name; }
};

std::int32_t days_waiting(const ClubNewcomer& newcomer, Day today) {
    std::optional<Day> since = newcomer.in_club_since;
    if (newcomer.row && newcomer.row->row.help_since) since = newcomer.row->row.help_since;
    return since ? std::max(0, days_between(*since, today)) : 0;
}

domain::PairingNewcomer pairing_newcomer(const ClubNewcomer& newcomer, bool adults_are_there, Day today) {
    domain::PairingNewcomer out;
    out.id = to_hex(newcomer.person.id.view());
    out.days_waiting = days_waiting(newcomer, today);
    out.class_held = rank_of(newcomer.person.card);
    out.languages = {std::string(any_language)};
    if (newcomer.person.card) {
        out.bands_and_modes = as_set(newcomer.person.card->bands);
        out.goals = as_set(newcomer.person.card->topics);
    }
    if (newcomer.row && !newcomer.row->row.help_topic.empty() && out.goals.empty()) {
        out.goals = {newcomer.row->row.help_topic};
    }
    out.is_minor = newcomer.is_minor;
    if (newcomer.is_minor && adults_are_there) {
        out.safeguards.guardian_consent_until = today + pairing_days;
        out.safeguards.guardian_will_be_present = true;
    }
    return out;
}

domain::PairingMentor pairing_mentor(const ClubPeople& people, const PersonView& mentor) {
    domain::PairingMentor out;
    out.id = to_hex(mentor.id.view());
    out.places = free_places_of(people, mentor);
    out.class_held = rank_of(mentor.card);
    out.control_class = out.class_held;
    out.languages = {std::string(any_language)};
    if (mentor.card) {
        out.bands_and_modes = as_set(mentor.card->bands);
        out.goals = as_set(mentor.card->topics);
    }
    return out;
}

void fill_newcomers(Context& context, Tables& tables) {
    const Day today = context.today();
    for (const ClubNewcomer& newcomer : tables.people.newcomers) {
        if (newcomer.mentor || newcomer.is_resting) continue;
        const bool adults_are_there = adults_on_path(context, newcomer).has_value();
        tables.newcomer_facts.push_back(pairing_newcomer(newcomer, adults_are_there, today));
    }
    domain::sort_by_waiting(tables.newcomer_facts);
    for (const domain::PairingNewcomer& facts : tables.newcomer_facts) {
        for (const ClubNewcomer& newcomer : tables.people.newcomers) {
            if (to_hex(newcomer.person.id.view()) != facts.id) continue;
            tables.newcomers.push_back(&newcomer);
            tables.newcomer_places.push_back(whereabouts_of(newcomer.person, today));
        }
    }
}

void solve(Context& context, Tables& tables) {
    fill_newcomers(context, tables);
    tables.mentors = mentors_of(tables.people);
    for (const PersonView* mentor : tables.mentors) {
        tables.mentor_facts.push_back(pairing_mentor(tables.people, *mentor));
        tables.mentor_places.push_back(whereabouts_of(*mentor, context.today()));
    }
    domain::HardRules rules;
    rules.today = context.today();
    rules.pairing_ends = rules.today + pairing_days;
    tables.table = domain::build_pairing(
        tables.newcomer_facts, tables.mentor_facts, [&](std::size_t i, std::size_t j) { return tables.facts(i, j); },
        rules);
    tables.assignment = domain::solve_pairing(tables.table.problem);
    ENSURE(domain::certificate_holds(tables.table.problem, tables.assignment));
}

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
            if (!facts.distance_km) return "not known, a locator is missing";
            return "about " + std::to_string(std::lround(*facts.distance_km / 10) * 10) + " km";
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
        case CostPart::track_record:
            break;
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
        tables.mentor_name(other.mentor) + ": " + std::to_string(other.cost - chosen_cost) + " points more";
    std::vector<std::string> lacks;
    for (const CostPart part : other.lacks) lacks.emplace_back(shown_label(part));
    if (!lacks.empty()) out += ", for " + listed(lacks, "");
    return out;
}

std::string in_words(const Tables& tables, const domain::BetterElsewhere& better, const std::string& newcomer) {
    const std::string start = "The best for " + newcomer + " alone is " + tables.mentor_name(better.mentor) + ", ";
    if (better.fewer_paired > 0) return start + "but then somebody else would be left without a mentor.";
    return start + "whose places go to people for whom another mentor would cost more (" +
           std::to_string(better.price) + " points over all).";
}

std::string reason_in_words(const Tables& tables, std::size_t newcomer, std::uint32_t mentor, WhyNot reason) {
    const bool time_unknown = !tables.newcomer_places[newcomer].times || !tables.mentor_places[mentor].times;
    if (reason == WhyNot::too_little_common_time && time_unknown) {
        const bool of_newcomer = !tables.newcomer_places[newcomer].times;
        return "Their common time is not known: weekly times or the time zone are missing on the card of " +
               (of_newcomer ? tables.newcomers[newcomer]->person.name : tables.mentor_name(mentor)) + ".";
    }
    return std::string(domain::to_sentence(reason));
}

void fill_reasons_not(Context& context, const Tables& tables, std::size_t newcomer, PairLine& line) {
    const auto adults = adults_on_path(context, *tables.newcomers[newcomer]);
    if (!adults) line.reasons_not.push_back(adults.error().sentence());
    const domain::Choices& choices = tables.table.choices[newcomer];
    for (const domain::RuledOut& out : choices.ruled_out) {
        std::string text;
        for (const WhyNot reason : out.reasons) {
            const bool is_safeguard = reason >= WhyNot::no_guardian_consent && reason <= WhyNot::mentor_clearance_ends;
            if (is_safeguard && !adults) continue;  // said once for all mentors
            text += " " + reason_in_words(tables, newcomer, out.mentor, reason);
        }
        if (!text.empty()) line.reasons_not.push_back(tables.mentor_name(out.mentor) + ":" + text);
    }
    if (line.mentor) return;
    std::vector<std::string> full;
    for (const domain::Candidate& candidate : choices.candidates) full.push_back(tables.mentor_name(candidate.mentor));
    if (!full.empty()) line.reasons_not.push_back("Would suit, but has no free place left: " + listed(full, "") + ".");
    if (tables.mentors.empty()) line.reasons_not.emplace_back("Nobody in the club mentors yet.");
}

PairLine line_of(Context& context, const Tables& tables, std::size_t newcomer) {
    const ClubNewcomer& person = *tables.newcomers[newcomer];
    PairLine line;
    line.newcomer = person.person.id;
    line.newcomer_name = person.person.name;
    line.days_waiting = tables.newcomer_facts[newcomer].days_waiting;
    const auto why = domain::why_this_mentor(tables.table, tables.assignment, static_cast<std::uint32_t>(newcomer));
    if (why) {
        const auto mentor = static_cast<std::size_t>(tables.assignment.mentor_of[newcomer]);
        line.mentor = tables.mentors[mentor]->id;
        line.mentor_name = tables.mentors[mentor]->name;
        line.cost = why->cost.cost;
        line.parts = parts_in_words(tables, newcomer, mentor, why->cost);
        for (const domain::Alternative& other : why->next_best) {
            line.next_best.push_back(in_words(tables, other, line.cost));
        }
        if (why->best_alone) line.better_elsewhere = in_words(tables, *why->best_alone, line.newcomer_name);
    }
    fill_reasons_not(context, tables, newcomer, line);
    return line;
}

}  // namespace

Result<PairProposal> propose_pairs(Context& context) {
    TRY(const ClubPeople people, club_people(context));
    Tables tables{people, {}, {}, {}, {}, {}, {}, {}, {}};
    solve(context, tables);
    PairProposal out;
    out.club = people.club.name;
    out.newcomers = tables.newcomers.size();
    out.paired = static_cast<std::size_t>(tables.assignment.totals.paired);
    out.pair_cost = tables.assignment.totals.pair_cost;
    out.load_cost = tables.assignment.totals.load_cost;
    for (const domain::PairingMentor& mentor : tables.mentor_facts)
        out.places += static_cast<std::size_t>(mentor.places);
    for (std::size_t newcomer = 0; newcomer < tables.newcomers.size(); ++newcomer) {
        out.lines.push_back(line_of(context, tables, newcomer));
    }
    out.note =
        "The club holds no languages, no clearances and nothing about who would rather not be paired, so the proposal "
        "knows nothing of them; ask both before you agree a pair.";
    return out;
}

}  // namespace ladderline::node
