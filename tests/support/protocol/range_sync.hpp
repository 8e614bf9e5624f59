#pragma once
// The plain textbook way to reconcile two sets of ids, to compare bytes with: ranges in order of id, a 16-byte
// fingerprint for each, split in 16 where they differ, and listed where few are left. Identifiers only.

#include <algorithm>

#include "protocol/crypto/hash.hpp"
#include "protocol/event/ids.hpp"

namespace ladderline::test {

class RangeSync {
public:
    using Id = protocol::EventId;
    struct Cost {
        std::size_t bytes = 0;
        std::size_t messages = 0;
    };

    // What it takes until each knows what the other lacks.
    static Cost reconcile(std::vector<Id> a, std::vector<Id> b) {
        RangeSync side_a(std::move(a));
        RangeSync side_b(std::move(b));
        Cost cost;
        std::vector<Range> open{side_a.summary({}, std::nullopt)};
        for (bool at_b = true; !open.empty(); at_b = !at_b) {
            for (const Range& range : open) cost.bytes += range.bytes();
            cost.messages += 1;
            open = (at_b ? side_b : side_a).answer(open);
        }
        return cost;
    }

private:
    static constexpr std::size_t split = 16;
    static constexpr std::size_t fingerprint_bytes = 16;

    struct Range {
        Id from;
        std::optional<Id> to;  // none: to the end
        bool listed = false;
        std::vector<Id> ids;
        std::array<std::uint8_t, fingerprint_bytes> print{};
        bool answers_list = false;

        // An upper bound of 8 bytes is enough to tell neighbours apart; one byte of mode.
        std::size_t bytes() const { return 9 + (listed ? 2 + ids.size() * Id::size : print.size()); }
    };

    explicit RangeSync(std::vector<Id> ids) : ids_(std::move(ids)) {
        std::sort(ids_.begin(), ids_.end());
        sums_.resize(ids_.size() + 1);
        for (std::size_t i = 0; i < ids_.size(); ++i) {
            sums_[i + 1] = sums_[i];
            for (std::size_t k = 0; k < Id::size; ++k) sums_[i + 1].data[k] ^= ids_[i].data[k];
        }
    }

    std::pair<std::size_t, std::size_t> places(const Id& from, const std::optional<Id>& to) const {
        const auto first = std::lower_bound(ids_.begin(), ids_.end(), from);
        const auto last = to ? std::lower_bound(first, ids_.end(), *to) : ids_.end();
        return {static_cast<std::size_t>(first - ids_.begin()), static_cast<std::size_t>(last - ids_.begin())};
    }

    Range summary(const Id& from, const std::optional<Id>& to) const {
        const auto [first, last] = places(from, to);
        Range out{from, to, false, {}, {}, false};
        Id sum;
        for (std::size_t k = 0; k < Id::size; ++k) sum.data[k] = sums_[last].data[k] ^ sums_[first].data[k];
        const std::array<std::uint8_t, 1> odd{static_cast<std::uint8_t>((last - first) & 1)};
        protocol::blake2b(out.print, {sum.view(), odd});
        return out;
    }

    std::vector<Range> answer(const std::vector<Range>& asked) const {
        std::vector<Range> out;
        for (const Range& range : asked) {
            const auto [first, last] = places(range.from, range.to);
            if (range.answers_list) continue;
            const bool same = !range.listed && summary(range.from, range.to).print == range.print;
            if (same) continue;
            if (range.listed || last - first <= 2 * split) {
                // The own list; to one that came as a list only what it lacks.
                Range mine{range.from, range.to, true, {}, {}, range.listed};
                for (std::size_t i = first; i < last; ++i) {
                    if (range.listed && std::find(range.ids.begin(), range.ids.end(), ids_[i]) != range.ids.end())
                        continue;
                    mine.ids.push_back(ids_[i]);
                }
                if (!range.listed || !mine.ids.empty()) out.push_back(std::move(mine));
                continue;
            }
            Id from = range.from;
            for (std::size_t part = 1; part <= split; ++part) {
                const std::size_t end = first + (last - first) * part / split;
                const std::optional<Id> to = part == split ? range.to : std::optional(ids_[end]);
                out.push_back(summary(from, to));
                if (to) from = *to;
            }
        }
        return out;
    }

    std::vector<Id> ids_;
    std::vector<Id> sums_;  // XOR of the first n ids
};

}  // namespace ladderline::test
