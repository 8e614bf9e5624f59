#include "node/domain/pairing/exchange.hpp"

#include <algorithm>
#include <functional>
#include <limits>
#include <queue>
#include <utility>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr std::int64_t far_away = std::numeric_limits<std::int64_t>::max() / 4;
constexpr std::int64_t no_newcomer = -1;

// Shortest paths for one unit too many. At a mentor, an occupant moves on, stays out, or a free place takes the unit;
// at the outside, a newcomer who stayed out comes in, or a mentor gives a place back. Nodes are mentors, and one for
// the outside.
class Residual {
public:
    Residual(const PairingProblem& problem, const Assignment& assignment, std::int64_t left_out)
        : problem_(problem),
          assignment_(assignment),
          base_(stay_out_cost(problem)),
          outside_(problem.mentors()),
          loads_(loads_of(problem, assignment.mentor_of)),
          occupants_(problem.mentors() + 1),
          distance_(problem.mentors() + 1, far_away),
          parent_(problem.mentors() + 1),
          is_settled_(problem.mentors() + 1, false) {
        for (std::size_t i = 0; i < problem.newcomers(); ++i) {
            const std::int32_t j = assignment.mentor_of[i];
            const std::size_t node = j == nobody ? outside_ : static_cast<std::size_t>(j);
            if (static_cast<std::int64_t>(i) != left_out) occupants_[node].push_back(i);
        }
    }

    std::size_t outside() const { return outside_; }

    // Distance in reduced costs; far_away if there is no path.
    std::int64_t run(std::size_t from, std::size_t to) {
        reach(from, 0, {});
        while (!heap_.empty()) {
            const auto [distance, node] = heap_.top();
            heap_.pop();
            if (is_settled_[node]) continue;
            is_settled_[node] = true;
            if (node == to) return distance;
            if (node == outside_) {
                leave_outside(distance);
            } else {
                leave_mentor(node, distance);
            }
        }
        return far_away;
    }

    std::vector<PairMove> moves(std::size_t from, std::size_t to) const {
        std::vector<PairMove> out;
        for (std::size_t node = to; node != from; node = parent_[node].node) {
            const Parent& parent = parent_[node];
            if (parent.newcomer == no_newcomer) continue;
            out.push_back({static_cast<std::uint32_t>(parent.newcomer), as_mentor(parent.node), as_mentor(node)});
        }
        std::reverse(out.begin(), out.end());
        return out;
    }

private:
    struct Parent {
        std::size_t node = 0;
        std::int64_t newcomer = no_newcomer;
    };
    using Entry = std::pair<std::int64_t, std::size_t>;

    std::int32_t as_mentor(std::size_t node) const {
        return node == outside_ ? nobody : static_cast<std::int32_t>(node);
    }

    void reach(std::size_t node, std::int64_t distance, Parent parent) {
        if (distance >= distance_[node]) return;
        distance_[node] = distance;
        parent_[node] = parent;
        heap_.push({distance, node});
    }

    void relax(std::size_t i, std::size_t from, std::int64_t distance) {
        for (const PairArc& arc : problem_.candidates[i]) {
            if (arc.mentor == from) continue;
            reach(arc.mentor,
                  distance + arc.cost + assignment_.mentor_price[arc.mentor] - assignment_.newcomer_price[i],
                  {from, static_cast<std::int64_t>(i)});
        }
    }

    void leave_mentor(std::size_t j, std::int64_t distance) {
        if (loads_[j] < problem_.places[j]) {
            reach(outside_, distance + std::int64_t{loads_[j]} * problem_.load_step - assignment_.mentor_price[j],
                  {j, no_newcomer});
        }
        for (const std::size_t i : occupants_[j]) {
            const std::int64_t stay_out = base_ + problem_.waiting_points_of(i) - assignment_.newcomer_price[i];
            reach(outside_, distance + stay_out, {j, static_cast<std::int64_t>(i)});
            relax(i, j, distance);
        }
    }

    void leave_outside(std::int64_t distance) {
        for (const std::size_t i : occupants_[outside_]) relax(i, outside_, distance);
        for (std::size_t j = 0; j < problem_.mentors(); ++j) {
            if (loads_[j] == 0) continue;
            reach(j, distance + assignment_.mentor_price[j] - std::int64_t{loads_[j] - 1} * problem_.load_step,
                  {outside_, no_newcomer});
        }
    }

    const PairingProblem& problem_;
    const Assignment& assignment_;
    std::int64_t base_;
    std::size_t outside_;
    std::vector<std::int32_t>
        loads_;  // the newcomer left out still holds a place: it is the one that the path gives back
    std::vector<std::vector<std::size_t>> occupants_;
    std::vector<std::int64_t> distance_;
    std::vector<Parent> parent_;
    std::vector<bool> is_settled_;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> heap_;
};

PairingChange changed(const PairingProblem& problem, const Assignment& assignment, std::vector<PairMove> moves) {
    std::vector<std::int32_t> mentor_of = assignment.mentor_of;
    for (const PairMove& move : moves) mentor_of[move.newcomer] = move.to;
    return {totals_of(problem, mentor_of), std::move(moves)};
}

}  // namespace

PairingChange one_more_place(const PairingProblem& problem, const Assignment& assignment, std::uint32_t mentor) {
    const std::int64_t load = loads_of(problem, assignment.mentor_of)[mentor];
    const std::int64_t worth = assignment.mentor_price[mentor] - load * problem.load_step;
    if (load < problem.places[mentor] || worth <= 0) return {assignment.totals, {}};
    Residual residual{problem, assignment, no_newcomer};
    if (residual.run(residual.outside(), mentor) >= worth) return {assignment.totals, {}};
    return changed(problem, assignment, residual.moves(residual.outside(), mentor));
}

std::optional<PairingChange> insist_on(const PairingProblem& problem, const Assignment& assignment,
                                       std::uint32_t newcomer, std::uint32_t mentor) {
    if (cost_of(problem, newcomer, static_cast<std::int32_t>(mentor)) < 0 || problem.places[mentor] == 0) return {};
    const std::int32_t before = assignment.mentor_of[newcomer];
    if (before == static_cast<std::int32_t>(mentor)) return PairingChange{assignment.totals, {}};
    Residual residual{problem, assignment, newcomer};
    const std::size_t target = before == nobody ? residual.outside() : static_cast<std::size_t>(before);
    ENSURE(residual.run(mentor, target) < far_away);
    std::vector<PairMove> moves = residual.moves(mentor, target);
    moves.insert(moves.begin(), PairMove{newcomer, before, static_cast<std::int32_t>(mentor)});
    return changed(problem, assignment, std::move(moves));
}

}  // namespace ladderline::domain
