#pragma once
// Pairs newcomers with mentors: as many as possible, then at the least total cost, by successive shortest paths with
// prices. The answer carries its own proof of optimality (a certificate from linear duality), checked after every run.
// Source: Ahuja, Magnanti & Orlin, Network Flows (1993), chapters 9 and 12.
//
// The network: newcomer i -> mentor j costs c_ij; the k-th newcomer of a mentor costs (k-1) * load_step more; staying
// out costs U_i = U + waiting points of i, with U larger than anything that pairing could save. All numbers are
// integers.

#include <cstddef>
#include <cstdint>
#include <vector>

namespace ladderline::domain {

inline constexpr std::int32_t nobody = -1;

struct PairArc {
    std::uint32_t mentor = 0;
    std::int32_t cost = 0;  // 0 to 1000
};

// Newcomers and mentors are numbers from 0. Newcomers stand in the order in which they are served among equals: longest
// waiting first, then by id.
struct PairingProblem {
    std::vector<std::int32_t> places;              // free places by mentor, >= 0
    std::vector<std::vector<PairArc>> candidates;  // by newcomer; no mentor twice
    std::vector<std::int32_t> waiting_points;      // by newcomer, 0 to 520; empty: all 0
    std::int32_t load_step = 0;                    // >= 0

    std::size_t newcomers() const { return candidates.size(); }
    std::size_t mentors() const { return places.size(); }
    std::int32_t waiting_points_of(std::size_t newcomer) const {
        return waiting_points.empty() ? 0 : waiting_points[newcomer];
    }
};

inline constexpr std::int32_t waiting_points_max = 520;
// Points for waiting: 10 a full week, at most 520. Precondition: days >= 0.
std::int32_t waiting_points(std::int32_t days);

// U: 1 + sum of each newcomer's dearest candidate + newcomers * largest load cost + sum of the waiting points. The
// largest load cost is taken for one place more than there is, so that U also serves for asking what one more place
// would do.
std::int64_t stay_out_cost(const PairingProblem& problem);

struct PairingTotals {
    std::int64_t paired = 0;
    std::int64_t pair_cost = 0;  // sum of c_ij
    std::int64_t load_cost = 0;
    std::int64_t worst_cost = 0;  // largest c_ij of a pair; 0 if there is none
    std::int64_t objective = 0;   // pair cost + load cost + U_i of all who stay out
    bool operator==(const PairingTotals&) const = default;
};

struct Assignment {
    std::vector<std::int32_t> mentor_of;       // by newcomer; `nobody` for those who stay out
    std::vector<std::int64_t> newcomer_price;  // u_i
    std::vector<std::int64_t> mentor_price;    // y_j: what one more place of this mentor would be worth, before load
    PairingTotals totals;
};

// Precondition: a well-formed problem (above). Same input, same output; the optimum is unique, the pairs need not be.
Assignment solve_pairing(const PairingProblem& problem);

// Totals of any choice of pairs. Precondition: every pair is a candidate.
PairingTotals totals_of(const PairingProblem& problem, const std::vector<std::int32_t>& mentor_of);

// How many newcomers each mentor has.
std::vector<std::int32_t> loads_of(const PairingProblem& problem, const std::vector<std::int32_t>& mentor_of);

// True if the pairs respect the places and the prices prove them optimal:
//   u_i = min(U_i, min_j c_ij + y_j), reached by i's own choice;  y_j >= 0;
//   (load_j - 1) * load_step <= y_j where anybody is placed, y_j <= load_j * load_step where a place is left;
//   sum u_i - sum_j sum_{k <= places_j} max(0, y_j - (k-1) * load_step) = objective.
// Without load cost this is: y_j = 0 where a place is left, and sum u_i - sum places_j y_j = objective. O(edges).
bool certificate_holds(const PairingProblem& problem, const Assignment& assignment);

// The cost of a candidate pair; -1 if it is none.
std::int32_t cost_of(const PairingProblem& problem, std::size_t newcomer, std::int32_t mentor);

}  // namespace ladderline::domain
