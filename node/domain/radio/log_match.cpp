#include "node/domain/radio/log_match.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <tuple>

namespace ladderline::domain {
namespace {

constexpr double hour_min = 60;
constexpr double day_min = 24 * hour_min;

// Stations in the order of the first log, band, mode group.
using Key = std::tuple<std::string, std::string, std::string, ModeGroup>;
using Places = std::vector<std::size_t>;

Key key_of(const MatchRow& row) {
    return {row.own.base, row.worked.base, row.band, row.mode};
}

Key key_from_other_side(const MatchRow& row) {
    return {row.worked.base, row.own.base, row.band, row.mode};
}

bool are_same_stations(const MatchRow& a, const MatchRow& b) {
    return same_call(a.own, b.worked) && same_call(a.worked, b.own);
}

void sort_by_time(Places& places, const std::vector<MatchRow>& rows) {
    std::stable_sort(places.begin(), places.end(),
                     [&](std::size_t x, std::size_t y) { return rows[x].minute_utc < rows[y].minute_utc; });
}

struct Bucket {
    Places a;
    Places b;
};

std::map<Key, Bucket> buckets_of(const std::vector<MatchRow>& a, const std::vector<MatchRow>& b) {
    std::map<Key, Bucket> out;
    for (std::size_t i = 0; i < a.size(); ++i) out[key_of(a[i])].a.push_back(i);
    for (std::size_t i = 0; i < b.size(); ++i) {
        const auto found = out.find(key_from_other_side(b[i]));
        if (found != out.end()) found->second.b.push_back(i);
    }
    for (auto& [key, bucket] : out) {
        sort_by_time(bucket.a, a);
        sort_by_time(bucket.b, b);
    }
    return out;
}

// Pairs of one bucket. State (i, j): the first i rows of `a` and the first j of `b` are decided; of row i only the
// states within its tolerance are kept, since earlier rows of `b` are too early for it and later ones too late for all
// rows of `a` so far.
class BucketMatch {
public:
    BucketMatch(const std::vector<MatchRow>& a, const std::vector<MatchRow>& b, const Bucket& bucket, double shift,
                double within)
        : a_(a), b_(b), bucket_(bucket), shift_(shift), within_(within) {}

    void add_pairs(std::vector<RowPair>& out) {
        lines_.reserve(bucket_.a.size());
        for (const std::size_t row : bucket_.a) add_line(row);
        walk_back(out);
    }

private:
    struct Score {
        std::size_t pairs = 0;
        double apart = 0;
        bool operator<(const Score& other) const {
            return pairs != other.pairs ? pairs < other.pairs : apart > other.apart;
        }
    };
    enum class Step : std::uint8_t { skip_a, skip_b, pair };
    struct Line {
        std::size_t low = 0;  // states low .. low + scores.size() - 1
        std::vector<Score> scores;
        std::vector<Step> steps;
    };

    double apart(std::size_t row_a, std::size_t row_b) const {
        return b_[row_b].minute_utc - a_[row_a].minute_utc - shift_;
    }

    // Beyond what the line before knows nothing more can be paired.
    Score score_before(std::size_t j) const {
        if (lines_.empty()) return {};
        const Line& line = lines_.back();
        return line.scores[std::min(j, line.low + line.scores.size() - 1) - line.low];
    }

    void add_line(std::size_t row) {
        const auto is_early = [&](std::size_t other, double limit) { return apart(row, other) < limit; };
        const auto first = std::lower_bound(bucket_.b.begin(), bucket_.b.end(), -within_, is_early);
        Line line;
        line.low = static_cast<std::size_t>(first - bucket_.b.begin());
        line.scores.push_back(score_before(line.low));
        line.steps.push_back(Step::skip_a);
        for (std::size_t j = line.low; j < bucket_.b.size(); ++j) {
            const std::size_t other = bucket_.b[j];
            const double off = apart(row, other);
            if (off > within_) break;
            Score best = score_before(j + 1);
            Step step = Step::skip_a;
            if (best < line.scores.back()) {
                best = line.scores.back();
                step = Step::skip_b;
            }
            Score paired = score_before(j);
            paired.pairs += 1;
            paired.apart += std::fabs(off);
            if (best < paired && are_same_stations(a_[row], b_[other])) {
                best = paired;
                step = Step::pair;
            }
            line.scores.push_back(best);
            line.steps.push_back(step);
        }
        lines_.push_back(std::move(line));
    }

    void walk_back(std::vector<RowPair>& out) const {
        std::size_t j = bucket_.b.size();
        for (std::size_t i = lines_.size(); i > 0;) {
            const Line& line = lines_[i - 1];
            j = std::min(j, line.low + line.scores.size() - 1);
            const Step step = line.steps[j - line.low];
            if (step == Step::pair) {
                const std::size_t row_a = bucket_.a[i - 1];
                const std::size_t row_b = bucket_.b[j - 1];
                out.push_back({row_a, row_b, apart(row_a, row_b)});
            }
            if (step != Step::skip_a) --j;
            if (step != Step::skip_b) --i;
        }
    }

    const std::vector<MatchRow>& a_;
    const std::vector<MatchRow>& b_;
    const Bucket& bucket_;
    double shift_;
    double within_;
    std::vector<Line> lines_;
};

double median(std::vector<double> values) {
    const std::size_t half = values.size() / 2;
    std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(half), values.end());
    const double upper = values[half];
    if (values.size() % 2 == 1) return upper;
    return (upper + *std::max_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(half))) / 2;
}

// Rows of `rows` among sorted `places` with |time - at| <= reach.
std::pair<Places::const_iterator, Places::const_iterator> around(const std::vector<MatchRow>& rows,
                                                                 const Places& places, double at, double reach) {
    const auto first = std::lower_bound(places.begin(), places.end(), at - reach,
                                        [&](std::size_t p, double t) { return rows[p].minute_utc < t; });
    const auto last = std::upper_bound(first, places.end(), at + reach,
                                       [&](double t, std::size_t p) { return t < rows[p].minute_utc; });
    return {first, last};
}

bool differ_in_one_letter(const std::string& a, const std::string& b) {
    if (a.size() != b.size()) return false;
    return std::inner_product(a.begin(), a.end(), b.begin(), 0, std::plus<>(), std::not_equal_to<>()) == 1;
}

// What alone differs; none if nothing or more than one thing does. `off`: time difference, minutes.
std::optional<Differs> only_difference(const MatchRow& a, const MatchRow& b, double off, double within) {
    std::vector<Differs> found;
    if (!are_same_stations(a, b)) {
        const bool by_one_letter = (a.own.base == b.worked.base && differ_in_one_letter(a.worked.base, b.own.base)) ||
                                   (a.worked.base == b.own.base && differ_in_one_letter(a.own.base, b.worked.base));
        if (!by_one_letter) return {};
        found.push_back(Differs::call);
    }
    if (a.band != b.band) found.push_back(Differs::band);
    if (a.mode != b.mode) found.push_back(Differs::mode);
    if (std::fabs(off) > within) found.push_back(Differs::time);
    if (found.size() != 1) return {};
    return found.front();
}

Places left_over(std::size_t count, const std::vector<RowPair>& agreed, std::size_t RowPair::*side) {
    std::vector<bool> used(count);
    for (const RowPair& pair : agreed) used[pair.*side] = true;
    Places out;
    for (std::size_t i = 0; i < count; ++i) {
        if (!used[i]) out.push_back(i);
    }
    return out;
}

std::vector<NearMiss> near_misses_of(const std::vector<MatchRow>& a, const std::vector<MatchRow>& b, double shift,
                                     const std::vector<RowPair>& agreed) {
    std::vector<NearMiss> out;
    Places free_b = left_over(b.size(), agreed, &RowPair::b);
    sort_by_time(free_b, b);
    std::vector<bool> taken(b.size());
    for (const std::size_t i : left_over(a.size(), agreed, &RowPair::a)) {
        const double at = a[i].minute_utc + shift;
        std::optional<NearMiss> best;
        double best_off = std::numeric_limits<double>::infinity();
        const auto [first, last] = around(b, free_b, at, day_min);
        for (auto p = first; p != last; ++p) {
            const double off = b[*p].minute_utc - at;
            if (taken[*p] || std::fabs(off) >= best_off) continue;
            const auto differs = only_difference(a[i], b[*p], off, tolerance_aligned_min);
            if (!differs) continue;
            best = NearMiss{i, *p, *differs};
            best_off = std::fabs(off);
        }
        if (!best) continue;
        taken[best->b] = true;
        out.push_back(*best);
    }
    return out;
}

}  // namespace

bool ClockDifference::counts() const {
    return std::fabs(minutes) > 2 && std::fabs(minutes) > 3 * standard_error;
}

std::optional<int> ClockDifference::looks_like_zone() const {
    const double quarter = 15 * std::round(minutes / 15);
    if (std::fabs(quarter) < 30 || std::fabs(minutes - quarter) > 3) return {};
    return static_cast<int>(quarter);
}

std::optional<ClockDifference> clock_difference(const std::vector<MatchRow>& a, const std::vector<MatchRow>& b) {
    std::vector<double> off;
    for (const auto& [key, bucket] : buckets_of(a, b)) {
        for (const std::size_t i : bucket.a) {
            const double at = a[i].minute_utc;
            const auto own = around(a, bucket.a, at, 36 * hour_min);
            const auto near = around(b, bucket.b, at, 18 * hour_min);
            if (own.second - own.first != 1 || near.second - near.first != 1) continue;
            if (are_same_stations(a[i], b[*near.first])) off.push_back(b[*near.first].minute_utc - at);
        }
    }
    if (off.size() < 5) return {};
    ClockDifference out;
    out.pairs = off.size();
    out.minutes = median(off);
    std::vector<double> deviations = off;
    for (double& value : deviations) value = std::fabs(value - out.minutes);
    // Of a normal spread: 1.4826 times the median deviation; its median has the standard error 1.2533 s / sqrt(n).
    out.standard_error = 1.2533 * 1.4826 * median(deviations) / std::sqrt(static_cast<double>(off.size()));
    return out;
}

std::vector<RowPair> match_rows(const std::vector<MatchRow>& a, const std::vector<MatchRow>& b, double difference_min,
                                double within_min) {
    std::vector<RowPair> out;
    for (const auto& [key, bucket] : buckets_of(a, b)) {
        if (!bucket.b.empty()) BucketMatch(a, b, bucket, difference_min, within_min).add_pairs(out);
    }
    std::sort(out.begin(), out.end(), [](const RowPair& x, const RowPair& y) { return x.a < y.a; });
    return out;
}

LogMatch match_logs(const std::vector<MatchRow>& a, const std::vector<MatchRow>& b) {
    LogMatch out;
    out.clocks = clock_difference(a, b);
    const double shift = out.clocks && out.clocks->counts() ? out.clocks->minutes : 0;
    out.agreed = match_rows(a, b, shift, out.clocks ? tolerance_aligned_min : tolerance_min);
    out.near_misses = near_misses_of(a, b, shift, out.agreed);
    return out;
}

}  // namespace ladderline::domain
