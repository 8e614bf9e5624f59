#include "node/domain/pairing/assignment.hpp"

#include <algorithm>
#include <functional>
#include <limits>
#include <queue>
#include <utility>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr std::int64_t far_away = std::numeric_limits<std::int64_t>::max() / 4;

// Places one newcomer after the other, each by one shortest path over mentors in reduced costs c_ij + y_j - u_i >= 0.
class Solver {
public:
    explicit Solver(const PairingProblem& problem)
        : problem_(problem),
          arcs_(problem.candidates),
          base_(stay_out_cost(problem)),
          occupants_(problem.mentors()),
          distance_(problem.mentors(), far_away),
          via_(problem.mentors(), 0),
          is_settled_(problem.mentors(), false) {
        out_.mentor_of.assign(problem.newcomers(), nobody);
        out_.newcomer_price.assign(problem.newcomers(), 0);
        out_.mentor_price.assign(problem.mentors(), 0);
        // Ascending costs let a relaxation stop early, since prices are never negative.
        for (auto& arcs : arcs_) {
            std::sort(arcs.begin(), arcs.end(), [](const PairArc& a, const PairArc& b) {
                return std::pair{a.cost, a.mentor} < std::pair{b.cost, b.mentor};
            });
        }
    }

    Assignment solve() {
        for (std::size_t i = 0; i < problem_.newcomers(); ++i) place(i);
        out_.totals = totals_of(problem_, out_.mentor_of);
        return std::move(out_);
    }

private:
    using Entry = std::pair<std::int64_t, std::uint32_t>;  // distance, mentor: ties by mentor

    std::int64_t stay_out(std::size_t i) const { return base_ + problem_.waiting_points_of(i); }
    std::int64_t load(std::size_t j) const { return static_cast<std::int64_t>(occupants_[j].size()); }

    void place(std::size_t newcomer) {
        start(newcomer);
        search();
        raise_prices(newcomer);
        augment(newcomer);
        for (const std::uint32_t j : touched_) {
            distance_[j] = far_away;
            is_settled_[j] = false;
        }
        touched_.clear();
        settled_.clear();
    }

    void start(std::size_t newcomer) {
        std::int64_t price = stay_out(newcomer);
        for (const PairArc& arc : arcs_[newcomer]) {
            price = std::min(price, arc.cost + out_.mentor_price[arc.mentor]);
        }
        out_.newcomer_price[newcomer] = price;
        end_distance_ = stay_out(newcomer) - price;
        end_newcomer_ = static_cast<std::int64_t>(newcomer);
        end_mentor_ = nobody;
        heap_ = {};
        relax(newcomer, 0);
    }

    void relax(std::size_t i, std::int64_t distance) {
        const std::int64_t offset = distance - out_.newcomer_price[i];
        for (const PairArc& arc : arcs_[i]) {
            if (offset + arc.cost >= end_distance_) return;
            const std::int64_t reached = offset + arc.cost + out_.mentor_price[arc.mentor];
            if (reached >= end_distance_ || reached >= distance_[arc.mentor]) continue;
            if (distance_[arc.mentor] == far_away) touched_.push_back(arc.mentor);
            distance_[arc.mentor] = reached;
            via_[arc.mentor] = i;
            heap_.push({reached, arc.mentor});
        }
    }

    // Ends at the first free place, or at the newcomer whose staying out is cheapest, whichever is nearer.
    void search() {
        while (!heap_.empty()) {
            const auto [distance, j] = heap_.top();
            heap_.pop();
            if (distance >= end_distance_) return;
            if (is_settled_[j]) continue;
            is_settled_[j] = true;
            settled_.push_back(j);
            if (load(j) < problem_.places[j]) {
                end_at_mentor(j, distance + load(j) * problem_.load_step - out_.mentor_price[j]);
            }
            for (const std::size_t i : occupants_[j]) {
                end_at_newcomer(i, distance + stay_out(i) - out_.newcomer_price[i]);
            }
            for (const std::size_t i : occupants_[j]) relax(i, distance);
        }
    }

    void end_at_mentor(std::uint32_t j, std::int64_t distance) {
        if (distance >= end_distance_) return;
        end_distance_ = distance;
        end_mentor_ = static_cast<std::int64_t>(j);
    }

    void end_at_newcomer(std::size_t i, std::int64_t distance) {
        if (distance >= end_distance_) return;
        end_distance_ = distance;
        end_mentor_ = nobody;
        end_newcomer_ = static_cast<std::int64_t>(i);
    }

    // Keeps every reduced cost non-negative, and makes those on the path zero.
    void raise_prices(std::size_t newcomer) {
        out_.newcomer_price[newcomer] += end_distance_;
        for (const std::uint32_t j : settled_) {
            const std::int64_t rise = end_distance_ - distance_[j];
            if (rise <= 0) continue;
            out_.mentor_price[j] += rise;
            for (const std::size_t i : occupants_[j]) out_.newcomer_price[i] += rise;
        }
    }

    void augment(std::size_t newcomer) {
        std::int64_t j = end_mentor_;
        if (j == nobody) {
            const auto leaving = static_cast<std::size_t>(end_newcomer_);
            if (leaving == newcomer) return;
            j = out_.mentor_of[leaving];
            vacate(leaving);
            out_.mentor_of[leaving] = nobody;
        }
        for (;;) {
            const std::size_t i = via_[static_cast<std::size_t>(j)];
            const std::int64_t before = out_.mentor_of[i];
            if (before != nobody) vacate(i);
            occupants_[static_cast<std::size_t>(j)].push_back(i);
            out_.mentor_of[i] = static_cast<std::int32_t>(j);
            if (i == newcomer) return;
            j = before;
        }
    }

    void vacate(std::size_t i) {
        auto& here = occupants_[static_cast<std::size_t>(out_.mentor_of[i])];
        here.erase(std::find(here.begin(), here.end(), i));
    }

    const PairingProblem& problem_;
    std::vector<std::vector<PairArc>> arcs_;
    std::int64_t base_;
    std::vector<std::vector<std::size_t>> occupants_;
    Assignment out_;

    // Of one search.
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> heap_;
    std::vector<std::int64_t> distance_;
    std::vector<std::size_t> via_;  // the newcomer through whom a mentor was reached
    std::vector<bool> is_settled_;
    std::vector<std::uint32_t> touched_;
    std::vector<std::uint32_t> settled_;
    std::int64_t end_distance_ = 0;
    std::int64_t end_mentor_ = nobody;
    std::int64_t end_newcomer_ = nobody;
};

}  // namespace

std::int32_t waiting_points(std::int32_t days) {
    return std::min(days / 7 * 10, waiting_points_max);
}

std::int64_t stay_out_cost(const PairingProblem& problem) {
    std::int64_t out = 1;
    for (std::size_t i = 0; i < problem.newcomers(); ++i) {
        std::int64_t dearest = 0;
        for (const PairArc& arc : problem.candidates[i]) dearest = std::max<std::int64_t>(dearest, arc.cost);
        out += dearest + problem.waiting_points_of(i);
    }
    std::int64_t places_max = 0;
    for (const std::int32_t places : problem.places) places_max = std::max<std::int64_t>(places_max, places);
    return out + static_cast<std::int64_t>(problem.newcomers()) * places_max * problem.load_step;
}

Assignment solve_pairing(const PairingProblem& problem) {
    Assignment out = Solver{problem}.solve();
    ENSURE(certificate_holds(problem, out));
    return out;
}

std::int32_t cost_of(const PairingProblem& problem, std::size_t newcomer, std::int32_t mentor) {
    for (const PairArc& arc : problem.candidates[newcomer]) {
        if (static_cast<std::int32_t>(arc.mentor) == mentor) return arc.cost;
    }
    return -1;
}

std::vector<std::int32_t> loads_of(const PairingProblem& problem, const std::vector<std::int32_t>& mentor_of) {
    std::vector<std::int32_t> out(problem.mentors(), 0);
    for (const std::int32_t j : mentor_of) {
        if (j != nobody) ++out[static_cast<std::size_t>(j)];
    }
    return out;
}

PairingTotals totals_of(const PairingProblem& problem, const std::vector<std::int32_t>& mentor_of) {
    PairingTotals out;
    const std::int64_t base = stay_out_cost(problem);
    for (std::size_t i = 0; i < mentor_of.size(); ++i) {
        if (mentor_of[i] == nobody) {
            out.objective += base + problem.waiting_points_of(i);
            continue;
        }
        const std::int64_t cost = cost_of(problem, i, mentor_of[i]);
        ENSURE(cost >= 0);
        ++out.paired;
        out.pair_cost += cost;
        out.worst_cost = std::max(out.worst_cost, cost);
    }
    for (const std::int64_t load : loads_of(problem, mentor_of)) {
        out.load_cost += load * (load - 1) / 2 * problem.load_step;
    }
    out.objective += out.pair_cost + out.load_cost;
    return out;
}

bool certificate_holds(const PairingProblem& problem, const Assignment& assignment) {
    const std::vector<std::int32_t> loads = loads_of(problem, assignment.mentor_of);
    const std::int64_t base = stay_out_cost(problem);
    const std::int64_t step = problem.load_step;
    std::int64_t dual = 0;
    for (std::size_t i = 0; i < problem.newcomers(); ++i) {
        const std::int64_t out = base + problem.waiting_points_of(i);
        std::int64_t least = out;
        std::int64_t own = assignment.mentor_of[i] == nobody ? out : far_away;
        for (const PairArc& arc : problem.candidates[i]) {
            const std::int64_t price = arc.cost + assignment.mentor_price[arc.mentor];
            least = std::min(least, price);
            if (static_cast<std::int32_t>(arc.mentor) == assignment.mentor_of[i]) own = price;
        }
        if (assignment.newcomer_price[i] != least || own != least) return false;
        dual += least;
    }
    for (std::size_t j = 0; j < problem.mentors(); ++j) {
        const std::int64_t price = assignment.mentor_price[j];
        const std::int64_t load = loads[j];
        if (price < 0 || load > problem.places[j]) return false;
        if (load > 0 && price < (load - 1) * step) return false;
        if (load < problem.places[j] && price > load * step) return false;
        for (std::int64_t k = 0; k < problem.places[j]; ++k) dual -= std::max<std::int64_t>(0, price - k * step);
    }
    return dual == assignment.totals.objective && assignment.totals == totals_of(problem, assignment.mentor_of);
}

}  // namespace ladderline::domain
