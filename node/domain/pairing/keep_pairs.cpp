#include "node/domain/pairing/keep_pairs.hpp"

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

// The pairs that stay, by newcomer.
std::vector<std::int32_t> staying(const PairingProblem& problem, const std::vector<std::int32_t>& present,
                                  std::vector<std::uint32_t>& not_kept) {
    std::vector<std::int32_t> left = problem.places;
    std::vector<std::int32_t> out(present.size(), nobody);
    for (std::uint32_t i = 0; i < present.size(); ++i) {
        if (present[i] == nobody) continue;
        const auto mentor = static_cast<std::size_t>(present[i]);
        if (cost_of(problem, i, present[i]) < 0 || left[mentor] == 0) {
            not_kept.push_back(i);
            continue;
        }
        left[mentor] -= 1;
        out[i] = present[i];
    }
    return out;
}

// The places that are left for the others. Who comes to a mentor with k newcomers costs k loads more, which is the same
// for each of them, so it goes into the cost.
PairingProblem remaining(const PairingProblem& problem, const std::vector<std::int32_t>& kept) {
    PairingProblem out = problem;
    const std::vector<std::int32_t> loads = loads_of(problem, kept);
    for (std::size_t j = 0; j < loads.size(); ++j) out.places[j] -= loads[j];
    for (std::size_t i = 0; i < kept.size(); ++i) {
        if (kept[i] != nobody) out.candidates[i].clear();
        for (PairArc& arc : out.candidates[i]) arc.cost += loads[arc.mentor] * problem.load_step;
    }
    return out;
}

}  // namespace

KeptPairing solve_keeping(const PairingProblem& problem, const std::vector<std::int32_t>& present) {
    ENSURE(present.size() == problem.newcomers());
    KeptPairing out;
    out.mentor_of = staying(problem, present, out.not_kept);
    const Assignment others = solve_pairing(remaining(problem, out.mentor_of));
    for (std::size_t i = 0; i < out.mentor_of.size(); ++i) {
        if (out.mentor_of[i] == nobody) out.mentor_of[i] = others.mentor_of[i];
    }
    out.totals = totals_of(problem, out.mentor_of);
    const Assignment best = solve_pairing(problem);
    out.more_paired = best.totals.paired - out.totals.paired;
    out.saves = out.totals.pair_cost + out.totals.load_cost - best.totals.pair_cost - best.totals.load_cost;
    for (std::size_t i = 0; i < present.size(); ++i) {
        if (present[i] != nobody && best.mentor_of[i] != present[i]) out.moves += 1;
    }
    return out;
}

}  // namespace ladderline::domain
