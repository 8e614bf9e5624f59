#include "node/commands/pair_board.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "node/commands/pair_proposal.hpp"
#include "node/commands/pair_reviews.hpp"
#include "node/domain/pairing/exchange.hpp"
#include "node/domain/pairing/fair.hpp"
#include "node/domain/pairing/keep_pairs.hpp"
#include "node/domain/pairing/stability.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

std::string counted(std::int64_t number, const char* one, const char* many) {
    return std::to_string(number) + " " + (number == 1 ? one : many);
}

std::string points(std::int64_t number) {
    return counted(number, "point", "points");
}

std::string names(const std::vector<PairMoveLine>& moves) {
    std::string out;
    for (const PairMoveLine& move : moves) {
        out += (out.empty() ? " " : "; ") + move.newcomer + (move.to.empty() ? " with nobody" : " with " + move.to);
        if (!move.from.empty()) out += " instead of " + move.from;
    }
    return out.empty() ? out : out + ".";
}

std::int64_t total_of(const domain::PairingTotals& totals) {
    return totals.pair_cost + totals.load_cost;
}

PairMoveLine move_line(const PairTables& tables, std::size_t newcomer, std::int32_t from, std::int32_t to) {
    const auto name = [&](std::int32_t mentor) {
        return mentor == domain::nobody ? std::string() : tables.mentor_name(mentor);
    };
    return {tables.newcomers[newcomer]->person.name, name(from), name(to)};
}

PairOutcome outcome_of(const PairTables& tables, const domain::PairingTotals& totals,
                       const std::vector<domain::PairMove>& moves) {
    PairOutcome out;
    out.newcomers = tables.newcomers.size();
    out.paired = static_cast<std::size_t>(totals.paired);
    out.points = total_of(totals);
    for (const domain::PairMove& move : moves) {
        out.moves.push_back(move_line(tables, move.newcomer, move.from, move.to));
    }
    return out;
}

FairVariant fair_of(const Proposed& best) {
    FairVariant out;
    const domain::FairPairing fair = domain::solve_fair(best.tables.table.problem);
    ENSURE(domain::certificate_holds(fair.problem, fair.assignment));
    std::vector<domain::PairMove> moves;
    for (std::uint32_t i = 0; i < best.assignment.mentor_of.size(); ++i) {
        const std::int32_t from = best.assignment.mentor_of[i];
        const std::int32_t to = fair.assignment.mentor_of[i];
        if (from != to) moves.push_back({i, from, to});
    }
    const domain::PairingTotals totals = domain::totals_of(best.tables.table.problem, fair.assignment.mentor_of);
    out.worst = static_cast<std::int32_t>(totals.worst_cost);
    out.worst_best = static_cast<std::int32_t>(best.assignment.totals.worst_cost);
    const std::int64_t before = total_of(best.assignment.totals);
    out.price = before > 0 ? static_cast<double>(total_of(totals)) / static_cast<double>(before) - 1 : 0;
    if (out.worst == out.worst_best) moves.clear();  // as good a match for everybody as there is already
    out.outcome = outcome_of(best.tables, totals, moves);
    if (out.worst == out.worst_best) {
        out.price = 0;
        out.outcome.points = before;
        out.outcome.sentence = "Nobody's match could be better than the least good one here (" +
                               points(out.worst_best) + ") with as many paired: the proposal is fair as it is.";
        return out;
    }
    char percent[32];
    std::snprintf(percent, sizeof percent, "%.1f", 100 * out.price);
    out.outcome.sentence = "The least good match could be " + std::to_string(out.worst) + " instead of " +
                           points(out.worst_best) + "; over all that costs " + percent + " % more (" +
                           std::to_string(total_of(totals)) + " instead of " + points(before) +
                           "):" + names(out.outcome.moves);
    return out;
}

std::string blocking_in_words(std::size_t pairs) {
    if (pairs == 0) return "No newcomer and mentor would both rather swap into a pair of their own.";
    return counted(static_cast<std::int64_t>(pairs), "pair would", "pairs would") +
           " both rather be with each other than as proposed; together more people are helped as it is.";
}

KeptTogether kept_of(const PairTables& tables) {
    const domain::KeptPairing kept = domain::solve_keeping(tables.table.problem, tables.present);
    KeptTogether out;
    out.more_paired = kept.more_paired;
    out.saves = kept.more_paired > 0 ? 0 : kept.saves;
    out.moves = kept.moves;
    for (std::size_t i = 0; i < tables.present.size(); ++i) {
        if (tables.present[i] == domain::nobody) continue;
        out.together += 1;
        const auto why = domain::reasons_against(tables.newcomer_facts[i],
                                                 tables.mentor_facts[static_cast<std::size_t>(tables.present[i])],
                                                 tables.facts(i, static_cast<std::size_t>(tables.present[i])),
                                                 {tables.today, tables.today + not_taken_up_days});
        if (why.empty() || tables.newcomer_facts[i].is_minor) continue;
        out.cautions.push_back(tables.newcomers[i]->person.name + " with " + tables.mentor_name(tables.present[i]) +
                               " would not be proposed today: " + std::string(domain::to_sentence(why.front())));
    }
    if (out.together == 0) {
        out.sentence = "Nobody is together yet, so that nobody would have to part.";
    } else if (out.more_paired > 0) {
        out.sentence = "Everybody who is together stays. Paired afresh, " +
                       counted(out.more_paired, "person", "people") + " more could have a mentor, and " +
                       counted(static_cast<std::int64_t>(out.moves), "person", "people") + " would have to change.";
    } else if (out.saves > 0 && out.moves > 0) {
        out.sentence = "Everybody who is together stays. Paired afresh, the club would save " + points(out.saves) +
                       ", moving " + counted(static_cast<std::int64_t>(out.moves), "person", "people") + ".";
    } else {
        out.sentence = "Everybody who is together stays, and pairing everybody afresh would save nothing.";
    }
    return out;
}

PairOutcome one_more(const Proposed& best, std::uint32_t mentor, const std::string& name) {
    const domain::PairingChange change = domain::one_more_place(best.tables.table.problem, best.assignment, mentor);
    PairOutcome out = outcome_of(best.tables, change.totals, change.moves);
    const std::string start = "If " + name + " took one more: ";
    if (out.moves.empty()) {
        out.sentence = start + "nothing would change.";
        return out;
    }
    out.sentence = start + std::to_string(out.paired) + " of " + std::to_string(out.newcomers) + " paired, " +
                   points(out.points) + ":" + names(out.moves);
    return out;
}

// Everybody who would need a mentor if this one paused: those without one now, and this one's.
class PauseAsked {
public:
    PauseAsked(const PairTables& all, const Proposed& best) : all_(all), best_(best) {}

    std::optional<PairOutcome> answer(std::int32_t mentor) const {
        std::vector<std::size_t> rows;
        domain::PairingProblem problem;
        problem.load_step = all_.table.problem.load_step;
        for (const domain::PairingMentor& facts : best_.tables.mentor_facts) problem.places.push_back(facts.places);
        problem.places[static_cast<std::size_t>(mentor)] = 0;
        std::int64_t freed = 0;
        for (std::size_t i = 0; i < all_.newcomers.size(); ++i) {
            const bool is_theirs = all_.present[i] == mentor;
            if (!is_theirs && all_.newcomers[i]->mentor) continue;
            freed += is_theirs ? 1 : 0;
            rows.push_back(i);
            problem.candidates.push_back(all_.table.problem.candidates[i]);
            problem.waiting_points.push_back(all_.table.problem.waiting_points_of(i));
        }
        const domain::Assignment after = domain::solve_pairing(problem);
        ENSURE(domain::certificate_holds(problem, after));
        PairOutcome out;
        out.newcomers = rows.size();
        out.paired = static_cast<std::size_t>(after.totals.paired);
        out.points = total_of(after.totals);
        for (std::size_t k = 0; k < rows.size(); ++k) {
            const std::int32_t from = now_with(rows[k]);
            if (from != after.mentor_of[k]) out.moves.push_back(move_line(all_, rows[k], from, after.mentor_of[k]));
        }
        out.sentence = "If " + all_.mentor_name(mentor) + " paused: ";
        if (freed == 0 && out.moves.empty()) {
            out.sentence += "nothing would change.";
        } else {
            out.sentence += freed > 0 ? counted(freed, "newcomer", "newcomers") + " would need somebody else; " : "";
            out.sentence += std::to_string(out.paired) + " of " + std::to_string(out.newcomers) +
                            " without a mentor then could be paired, " + points(out.points) + ":" + names(out.moves);
        }
        return out;
    }

private:
    // With whom they are, or by the proposal would be.
    std::int32_t now_with(std::size_t row) const {
        if (all_.newcomers[row]->mentor) return all_.present[row];
        for (std::size_t i = 0; i < best_.tables.newcomers.size(); ++i) {
            if (best_.tables.newcomers[i] == all_.newcomers[row]) return best_.assignment.mentor_of[i];
        }
        return domain::nobody;
    }

    const PairTables& all_;
    const Proposed& best_;
};

// Those who could be asked about, by number: whoever is meant, then those with a free place, then by name.
std::vector<std::uint32_t> mentors_to_ask(const Proposed& best, const std::optional<MemberId>& asked_about) {
    std::vector<std::uint32_t> out;
    const PairTables& tables = best.tables;
    for (std::uint32_t j = 0; j < tables.mentors.size(); ++j) {
        const PersonView& mentor = *tables.mentors[j];
        const bool rests = mentor.card && mentor.card->resting;
        if (!rests && !tables.state->out_of_reach(mentor.id)) out.push_back(j);
    }
    const auto place = [&](std::uint32_t j) {
        return std::tuple(tables.mentors[j]->id != asked_about, tables.mentor_facts[j].places == 0,
                          std::string_view(tables.mentors[j]->name));
    };
    std::stable_sort(out.begin(), out.end(), [&](std::uint32_t a, std::uint32_t b) { return place(a) < place(b); });
    return out;
}

void add_what_ifs(const Proposed& best, const PairTables* everybody, const BoardParts& parts, PairBoard& out) {
    std::vector<std::uint32_t> asked = mentors_to_ask(best, parts.asked_about);
    out.mentors_awake = asked.size();
    asked.resize(std::min(asked.size(), parts.what_ifs_max));
    for (const std::uint32_t j : asked) {
        const PersonView& mentor = *best.tables.mentors[j];
        WhatIf& one = out.what_if.emplace_back();
        one.mentor = mentor.id;
        one.name = mentor.name;
        one.one_more = one_more(best, j, mentor.name);
        if (everybody != nullptr) one.pause = PauseAsked(*everybody, best).answer(static_cast<std::int32_t>(j));
    }
}

void add_alternatives(Context& context, const ClubPeople& people, const PairState& state, const Proposed& best,
                      const BoardParts& parts, PairBoard& out) {
    out.fair = fair_of(best);
    out.blocking_pairs =
        domain::count_blocking_pairs(domain::by_cost(best.tables.table.problem), best.assignment.mentor_of);
    out.blocking_sentence = blocking_in_words(out.blocking_pairs);
    out.all_compared = people.newcomers.size() * best.tables.mentors.size() <= parts.pairs_max;
    std::optional<PairTables> everybody;
    if (out.all_compared) {
        everybody = pair_tables(context, people, state, Tabled::everybody);
        out.kept = kept_of(*everybody);
    }
    add_what_ifs(best, everybody ? &*everybody : nullptr, parts, out);
}

std::vector<std::string> second_adults_in_words(const Proposed& best) {
    std::vector<std::string> out;
    const PairTables& tables = best.tables;
    if (!tables.needs_adults()) return out;
    for (std::size_t i = 0; i < tables.newcomers.size(); ++i) {
        if (tables.second.may_be[i].empty() || best.assignment.mentor_of[i] == domain::nobody) continue;
        const std::string pair =
            tables.newcomers[i]->person.name + " with " + tables.mentor_name(best.assignment.mentor_of[i]);
        if (best.adult_of[i] == domain::nobody) {
            out.push_back(pair + ": nobody is left to stand beside them; this one is for people to settle.");
            continue;
        }
        const std::string& adult = tables.adults[static_cast<std::size_t>(best.adult_of[i])]->name;
        out.push_back(pair + ": " + adult + " could be the second adult. Before the pair is agreed, " + adult +
                      " takes that seat on the path.");
    }
    out.emplace_back(
        "Mentors were chosen first and second adults after them; a pair for which nobody was left was struck out and "
        "the rest done again. That is no best choice of both at once, so look at it with your own eyes.");
    return out;
}

void add_pairs(const ClubPeople& people, const PairState& state, PairBoard& out) {
    for (const PairingView& pair : state.open()) {
        if (!people.all.contains(pair.newcomer) || !people.all.contains(pair.mentor)) continue;
        out.open.push_back({pair.newcomer, pair.mentor, people.name_of(pair.newcomer), people.name_of(pair.mentor),
                            pair.day, pair.newcomer_said_yes, pair.mentor_said_yes});
    }
    for (const PairingView& pair : people.standing) {
        const auto mentor = people.all.find(pair.mentor);
        const bool rests = mentor != people.all.end() && mentor->second.card && mentor->second.card->resting;
        out.standing.push_back(
            {pair.newcomer, pair.mentor, people.name_of(pair.newcomer), people.name_of(pair.mentor), pair.day, rests});
    }
}

void add_people(const ClubPeople& people, const PairState& state, PairBoard& out) {
    for (const ClubNewcomer& newcomer : people.newcomers) {
        out.newcomers.push_back({newcomer.person.id, newcomer.person.name});
    }
    for (const PersonView* mentor : mentors_of(people)) out.mentors.push_back({mentor->id, mentor->name});
    for (const auto& [id, person] : people.all) {
        if (!person.is_minor) out.adults.push_back({id, person.name});
    }
    const auto named = [&](const MemberId& id) { return Named{id, people.name_of(id)}; };
    for (const KeptApart& pair : state.notes.apart) {
        if (people.all.contains(pair.newcomer) && people.all.contains(pair.mentor)) {
            out.apart.push_back({named(pair.newcomer), named(pair.mentor)});
        }
    }
    for (const ClearedAdult& adult : state.notes.cleared) {
        if (people.all.contains(adult.who)) out.cleared.push_back({named(adult.who), adult.until, adult.beside});
    }
    const auto by_name = [](const Named& a, const Named& b) { return a.name < b.name; };
    std::sort(out.mentors.begin(), out.mentors.end(), by_name);
    std::sort(out.adults.begin(), out.adults.end(), by_name);
}

}  // namespace

std::vector<std::string> pair_weights_in_words() {
    std::vector<std::string> out;
    for (std::size_t k = 0; k < domain::cost_parts; ++k) {
        const auto part = static_cast<domain::CostPart>(k);
        out.push_back(std::string(part == domain::CostPart::goals ? "topics" : domain::label_of(part)) + " " +
                      std::to_string(std::lround(1000 * domain::PairWeights().of[k])));
    }
    return out;
}

Result<PairBoard> pair_board(Context& context, const BoardParts& parts) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const PairState state, pair_state(context, people.club.id));
    const Proposed best = solve_proposal(context, people, state);
    PairBoard out;
    out.weights = pair_weights_in_words();
    out.best = in_words(best, parts.first_line, parts.lines_max);
    const std::size_t pairs = people.newcomers.size() * best.tables.mentors.size();
    out.has_alternatives = pairs <= parts.alternatives_pairs_max;
    if (out.has_alternatives) add_alternatives(context, people, state, best, parts, out);
    if (!parts.open_matters) return out;
    out.second_adults = second_adults_in_words(best);
    add_pairs(people, state, out);
    TRY(const auto reviews, reviews_open(context, people, state));
    for (const ReviewLineOfClub& line : reviews) out.reviews.push_back(line.sentence);
    add_people(people, state, out);
    return out;
}

}  // namespace ladderline::node
