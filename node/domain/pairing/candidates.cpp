#include "node/domain/pairing/candidates.hpp"

#include <algorithm>
#include <tuple>

#include "node/domain/pairing/exchange.hpp"

namespace ladderline::domain {
namespace {

std::vector<CostPart> lacks(const PairCost& alternative, const PairCost& chosen) {
    std::vector<std::pair<double, CostPart>> worse;
    for (std::size_t k = 0; k < cost_parts; ++k) {
        const double more = alternative.points_lost[k] - chosen.points_lost[k];
        if (more > 0.5) worse.emplace_back(-more, static_cast<CostPart>(k));  // less does not show in whole points
    }
    std::sort(worse.begin(), worse.end());
    std::vector<CostPart> out;
    for (const auto& [more, part] : worse) out.push_back(part);
    return out;
}

}  // namespace

void sort_by_waiting(std::vector<PairingNewcomer>& newcomers) {
    std::sort(newcomers.begin(), newcomers.end(), [](const PairingNewcomer& a, const PairingNewcomer& b) {
        return std::tie(b.comes_first, b.days_waiting, a.id) < std::tie(a.comes_first, a.days_waiting, b.id);
    });
}

PairingTable build_pairing(std::span<const PairingNewcomer> newcomers, std::span<const PairingMentor> mentors,
                           const PairFactsOf& facts_of, const HardRules& rules, const PairWeights& weights,
                           std::int32_t load_step) {
    PairingTable out;
    out.problem.load_step = load_step;
    for (const PairingMentor& mentor : mentors) out.problem.places.push_back(mentor.places);
    for (std::size_t i = 0; i < newcomers.size(); ++i) {
        Choices choices;
        std::vector<PairArc> arcs;
        for (std::size_t j = 0; j < mentors.size(); ++j) {
            const PairFacts facts = facts_of(i, j);
            const auto mentor = static_cast<std::uint32_t>(j);
            const WhyNots reasons = why_nots(newcomers[i], mentors[j], facts, rules);
            if (!reasons.empty()) {
                choices.ruled_out.push_back({mentor, reasons});
                continue;
            }
            choices.candidates.push_back({mentor, cost_of_pair(newcomers[i], mentors[j], facts, weights)});
            arcs.push_back({mentor, choices.candidates.back().cost.cost});
        }
        out.choices.push_back(std::move(choices));
        out.problem.candidates.push_back(std::move(arcs));
        out.problem.waiting_points.push_back(newcomers[i].comes_first ? waiting_points_max
                                                                      : waiting_points(newcomers[i].days_waiting));
    }
    return out;
}

std::optional<WhyThisMentor> why_this_mentor(const PairingTable& table, const Assignment& assignment,
                                             std::uint32_t newcomer) {
    const std::int32_t own = assignment.mentor_of[newcomer];
    if (own == nobody) return {};
    std::vector<Candidate> ranked = table.choices[newcomer].candidates;
    std::sort(ranked.begin(), ranked.end(), [](const Candidate& a, const Candidate& b) {
        return std::tie(a.cost.cost, a.mentor) < std::tie(b.cost.cost, b.mentor);
    });
    const auto chosen = std::find_if(ranked.begin(), ranked.end(), [&](const Candidate& candidate) {
        return static_cast<std::int32_t>(candidate.mentor) == own;
    });
    WhyThisMentor out;
    out.cost = chosen->cost;
    for (const Candidate& candidate : ranked) {
        if (out.next_best.size() == 2) break;
        if (candidate.mentor == chosen->mentor || candidate.cost.cost < chosen->cost.cost) continue;
        out.next_best.push_back({candidate.mentor, candidate.cost.cost, lacks(candidate.cost, chosen->cost)});
    }
    // A better mentor whose places are all shut (a pause) is no missed chance.
    const auto best = std::find_if(ranked.begin(), ranked.end(), [&](const Candidate& candidate) {
        return candidate.cost.cost >= chosen->cost.cost || table.problem.places[candidate.mentor] > 0;
    });
    if (best->cost.cost < chosen->cost.cost) {
        const auto change = insist_on(table.problem, assignment, newcomer, best->mentor);
        BetterElsewhere better;
        better.mentor = best->mentor;
        better.cost = best->cost.cost;
        better.fewer_paired = assignment.totals.paired - change->totals.paired;
        better.price = change->totals.objective - assignment.totals.objective;
        out.best_alone = better;
    }
    return out;
}

}  // namespace ladderline::domain
