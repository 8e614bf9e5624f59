#include "node/domain/pairing/second_adults.hpp"

#include "node/domain/pairing/matching.hpp"

namespace ladderline::domain {
namespace {

// By newcomer: those who may stand beside the pair; empty where none is needed or there is no pair.
std::vector<std::vector<std::uint32_t>> beside(const SecondAdults& adults, const std::vector<std::int32_t>& mentor_of) {
    std::vector<std::vector<std::uint32_t>> out(mentor_of.size());
    for (std::size_t i = 0; i < mentor_of.size(); ++i) {
        if (mentor_of[i] == nobody) continue;
        const std::int32_t own = adults.adult_of_mentor[static_cast<std::size_t>(mentor_of[i])];
        for (const std::uint32_t adult : adults.may_be[i]) {
            if (static_cast<std::int32_t>(adult) != own) out[i].push_back(adult);
        }
    }
    return out;
}

}  // namespace

PairingWithAdults solve_with_adults(const PairingProblem& problem, const SecondAdults& adults,
                                    std::int32_t rounds_max) {
    PairingWithAdults out;
    out.problem = problem;
    while (out.rounds < rounds_max) {
        out.rounds += 1;
        out.assignment = solve_pairing(out.problem);
        out.adult_of = largest_matching(beside(adults, out.assignment.mentor_of), adults.places);
        out.unsettled.clear();
        for (std::uint32_t i = 0; i < problem.newcomers(); ++i) {
            const std::int32_t mentor = out.assignment.mentor_of[i];
            if (mentor == nobody || adults.may_be[i].empty() || out.adult_of[i] != nobody) continue;
            out.unsettled.push_back({i, static_cast<std::uint32_t>(mentor)});
        }
        if (out.unsettled.empty() || out.rounds == rounds_max) return out;
        for (const UnsettledPair& pair : out.unsettled) {
            std::erase_if(out.problem.candidates[pair.newcomer],
                          [&](const PairArc& arc) { return arc.mentor == pair.mentor; });
            out.struck_out.push_back(pair);
        }
    }
    return out;
}

}  // namespace ladderline::domain
