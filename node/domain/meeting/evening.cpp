#include "node/domain/meeting/evening.hpp"

#include <algorithm>
#include <cstdlib>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr std::int64_t ms_per_minute = 60'000;
constexpr std::int64_t grid_ms = 30 * ms_per_minute;
constexpr std::int64_t apart_ms_min = 12 * 60 * ms_per_minute;  // one proposal an evening

bool holds(std::span<const TimeSpan> spans, const TimeSpan& wanted) {
    const auto after = std::upper_bound(spans.begin(), spans.end(), wanted.from,
                                        [](WallTime t, const TimeSpan& span) { return t < span.from; });
    return after != spans.begin() && wanted.to <= std::prev(after)->to;
}

WallTime on_grid(WallTime t) {
    const std::int64_t over = ((t.ms % grid_ms) + grid_ms) % grid_ms;
    return {over == 0 ? t.ms : t.ms + grid_ms - over};
}

SharedStart judged(const TimeSpan& wanted, std::span<const std::vector<TimeSpan>> others) {
    SharedStart out{wanted.from, {}};
    for (std::size_t i = 0; i < others.size(); ++i) {
        if (!holds(others[i], wanted)) out.missing.push_back(i);
    }
    return out;
}

}  // namespace

std::vector<SharedStart> shared_starts(std::span<const TimeSpan> host, std::span<const std::vector<TimeSpan>> others,
                                       std::span<const TimeSpan> taken, std::int64_t minutes, std::size_t count) {
    ENSURE(minutes > 0);
    std::vector<SharedStart> all;
    for (const TimeSpan& span : host) {
        for (WallTime start = on_grid(span.from);; start.ms += grid_ms) {
            const TimeSpan wanted{start, {start.ms + minutes * ms_per_minute}};
            if (span.to < wanted.to) break;
            const bool is_taken = std::any_of(taken.begin(), taken.end(), [&](const TimeSpan& t) {
                return t.from < wanted.to && wanted.from < t.to;
            });
            SharedStart one = judged(wanted, others);
            if (!is_taken && one.missing.size() < others.size()) all.push_back(std::move(one));
        }
    }
    std::stable_sort(all.begin(), all.end(),
                     [](const SharedStart& a, const SharedStart& b) { return a.missing.size() < b.missing.size(); });
    std::vector<SharedStart> out;
    for (SharedStart& one : all) {
        const bool is_near = std::any_of(out.begin(), out.end(), [&](const SharedStart& s) {
            return std::abs(s.start.ms - one.start.ms) < apart_ms_min;
        });
        if (out.size() < count && !is_near) out.push_back(std::move(one));
    }
    return out;
}

}  // namespace ladderline::domain
