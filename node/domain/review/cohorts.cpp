#include "node/domain/review/cohorts.hpp"

#include <algorithm>
#include <boost/math/special_functions/gamma.hpp>
#include <cmath>
#include <map>
#include <numeric>

#include "node/domain/study/random.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr std::uint64_t exact_ways_max = 2'000'000;
constexpr std::uint64_t random_ways = 100'000;
constexpr std::uint64_t permutation_seed = 20261126;
constexpr double same_score = 1e-9;

std::vector<CohortWait> by_days(std::span<const CohortWait> waits) {
    std::vector<CohortWait> out(waits.begin(), waits.end());
    for (const CohortWait& one : out) ENSURE(std::isfinite(one.wait.days) && one.wait.days >= 0);
    std::stable_sort(out.begin(), out.end(),
                     [](const CohortWait& a, const CohortWait& b) { return a.wait.days < b.wait.days; });
    return out;
}

// Adds one stratum, sorted by days.
void add_stratum(LogRank& out, const std::vector<CohortWait>& waits, TimeWeight weight) {
    const std::size_t groups = out.observed.size();
    std::vector<double> at_risk(groups, 0);
    for (const CohortWait& one : waits) at_risk[one.group] += 1;
    double waiting = 1;
    for (std::size_t k = 0; k < waits.size();) {
        const double days = waits[k].wait.days;
        const auto n = static_cast<double>(waits.size() - k);
        std::vector<double> events(groups, 0);
        std::vector<double> gone(groups, 0);
        for (; k < waits.size() && waits[k].wait.days == days; ++k) {
            gone[waits[k].group] += 1;
            if (waits[k].wait.reached) events[waits[k].group] += 1;
        }
        const double d = std::accumulate(events.begin(), events.end(), 0.0);
        const double w = weight == TimeWeight::early ? waiting : 1.0;
        for (std::size_t g = 0; g < groups && d > 0; ++g) {
            const double share = at_risk[g] / n;
            out.observed[g] += w * events[g];
            out.expected[g] += w * d * share;
            for (std::size_t h = 0; h < groups && n > 1; ++h) {
                const double other = (g == h ? 1.0 : 0.0) - at_risk[h] / n;
                out.variance[g][h] += w * w * d * (n - d) / (n - 1) * share * other;
            }
        }
        waiting *= 1 - d / n;
        for (std::size_t g = 0; g < groups; ++g) at_risk[g] -= gone[g];
    }
}

// x of a x = b by elimination with the largest pivot; a pivot of nothing leaves its x at 0.
std::vector<double> solved(std::vector<std::vector<double>> a, std::vector<double> b) {
    const std::size_t n = b.size();
    for (std::size_t c = 0; c < n; ++c) {
        std::size_t pivot = c;
        for (std::size_t r = c + 1; r < n; ++r) {
            if (std::fabs(a[r][c]) > std::fabs(a[pivot][c])) pivot = r;
        }
        std::swap(a[c], a[pivot]);
        std::swap(b[c], b[pivot]);
        if (std::fabs(a[c][c]) < same_score) continue;
        for (std::size_t r = c + 1; r < n; ++r) {
            const double factor = a[r][c] / a[c][c];
            for (std::size_t k = c; k < n; ++k) a[r][k] -= factor * a[c][k];
            b[r] -= factor * b[c];
        }
    }
    std::vector<double> x(n, 0);
    for (std::size_t c = n; c-- > 0;) {
        if (std::fabs(a[c][c]) < same_score) continue;
        double sum = b[c];
        for (std::size_t k = c + 1; k < n; ++k) sum -= a[c][k] * x[k];
        x[c] = sum / a[c][c];
    }
    return x;
}

void weigh_up(LogRank& out) {
    std::vector<std::size_t> compared;
    for (std::size_t g = 0; g < out.observed.size(); ++g) {
        if (out.expected[g] > 0) compared.push_back(g);
    }
    if (compared.size() < 2) return;
    compared.pop_back();
    out.degrees = static_cast<int>(compared.size());
    std::vector<std::vector<double>> v;
    std::vector<double> difference;
    for (const std::size_t g : compared) {
        difference.push_back(out.observed[g] - out.expected[g]);
        v.emplace_back();
        for (const std::size_t h : compared) v.back().push_back(out.variance[g][h]);
    }
    const std::vector<double> x = solved(v, difference);
    out.chi_square = std::inner_product(x.begin(), x.end(), difference.begin(), 0.0);
    out.p = boost::math::gamma_q(out.degrees / 2.0, out.chi_square / 2.0);
}

// Of every person: event less the hazard that all together had gathered by then (Nelson-Aalen). They sum to 0.
std::vector<double> scores_of(const std::vector<CohortWait>& waits) {
    std::vector<double> out(waits.size());
    double hazard = 0;
    for (std::size_t k = 0; k < waits.size();) {
        std::size_t end = k;
        double events = 0;
        for (; end < waits.size() && waits[end].wait.days == waits[k].wait.days; ++end) {
            events += waits[end].wait.reached ? 1 : 0;
        }
        hazard += events / static_cast<double>(waits.size() - k);
        for (; k < end; ++k) out[k] = (waits[k].wait.reached ? 1.0 : 0.0) - hazard;
    }
    return out;
}

// How many ways there are to draw `k` of `n`, or more than `most`.
std::uint64_t ways_of(std::size_t n, std::size_t k, std::uint64_t most) {
    std::uint64_t out = 1;
    for (std::size_t i = 1; i <= k; ++i) {
        out = out * (n - k + i) / i;
        if (out > most) return most + 1;
    }
    return out;
}

class EveryWay {
public:
    EveryWay(const std::vector<double>& scores, PermutationTest& out) : scores_(scores), out_(out) {}

    void draw(std::size_t from, std::size_t left, double sum) {
        if (left == 0) {
            out_.looked_at += 1;
            if (std::fabs(sum) >= std::fabs(out_.score) - same_score) out_.as_large += 1;
            return;
        }
        for (std::size_t i = from; i + left <= scores_.size(); ++i) draw(i + 1, left - 1, sum + scores_[i]);
    }

private:
    const std::vector<double>& scores_;
    PermutationTest& out_;
};

void draw_at_random(std::vector<double> scores, std::size_t drawn, PermutationTest& out) {
    SplitMix64 generator(permutation_seed);
    for (; out.looked_at < random_ways; ++out.looked_at) {
        double sum = 0;
        for (std::size_t i = 0; i < drawn; ++i) {
            std::swap(scores[i], scores[i + static_cast<std::size_t>(bounded(generator, scores.size() - i))]);
            sum += scores[i];
        }
        if (std::fabs(sum) >= std::fabs(out.score) - same_score) out.as_large += 1;
    }
}

}  // namespace

LogRank log_rank(std::span<const CohortWait> waits, std::size_t groups, TimeWeight weight) {
    LogRank out;
    out.observed.assign(groups, 0);
    out.expected.assign(groups, 0);
    out.variance.assign(groups, std::vector<double>(groups, 0));
    std::map<std::size_t, std::vector<CohortWait>> strata;
    for (const CohortWait& one : by_days(waits)) {
        ENSURE(one.group < groups);
        strata[one.stratum].push_back(one);
    }
    for (const auto& [stratum, sorted] : strata) add_stratum(out, sorted, weight);
    weigh_up(out);
    return out;
}

PermutationTest permutation_test(std::span<const CohortWait> waits) {
    const std::vector<CohortWait> sorted = by_days(waits);
    const std::vector<double> scores = scores_of(sorted);
    PermutationTest out;
    std::size_t drawn = 0;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        ENSURE(sorted[i].group < 2);
        if (sorted[i].group != 0) continue;
        out.score += scores[i];
        drawn += 1;
    }
    out.exact = ways_of(sorted.size(), drawn, exact_ways_max) <= exact_ways_max;
    if (out.exact) {
        EveryWay(scores, out).draw(0, drawn, 0);
    } else {
        draw_at_random(scores, drawn, out);
    }
    return out;
}

}  // namespace ladderline::domain
