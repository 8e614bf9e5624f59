#include "node/domain/pairing/matching.hpp"

#include <algorithm>
#include <limits>

namespace ladderline::domain {
namespace {

constexpr std::int32_t nobody = -1;
constexpr std::int32_t unreached = std::numeric_limits<std::int32_t>::max();

class Matcher {
public:
    Matcher(const std::vector<std::vector<std::uint32_t>>& adjacent, const std::vector<std::int32_t>& places)
        : adjacent_(adjacent), places_(places), given_(adjacent.size(), nobody), holders_(places.size()) {}

    std::vector<std::int32_t> run() {
        while (find_layers()) {
            next_.assign(adjacent_.size(), 0);
            for (std::size_t i = 0; i < adjacent_.size(); ++i) {
                if (given_[i] == nobody) augment(i);
            }
        }
        return std::move(given_);
    }

private:
    bool has_room(std::uint32_t j) const { return static_cast<std::int32_t>(holders_[j].size()) < places_[j]; }

    // Shortest alternating ways from those left out; false if none ends at a free place.
    bool find_layers() {
        layer_.assign(adjacent_.size(), unreached);
        std::vector<bool> seen(places_.size(), false);
        std::vector<std::size_t> now;
        for (std::size_t i = 0; i < adjacent_.size(); ++i) {
            if (given_[i] != nobody) continue;
            layer_[i] = 0;
            now.push_back(i);
        }
        bool found = false;
        for (std::int32_t depth = 1; !now.empty() && !found; ++depth) {
            std::vector<std::size_t> later;
            for (const std::size_t i : now) {
                for (const std::uint32_t j : adjacent_[i]) {
                    if (seen[j]) continue;
                    seen[j] = true;
                    found = found || has_room(j);
                    for (const std::size_t holder : holders_[j]) {
                        if (layer_[holder] != unreached) continue;
                        layer_[holder] = depth;
                        later.push_back(holder);
                    }
                }
            }
            now = std::move(later);
        }
        return found;
    }

    // Depth at most the number of layers. Edges that led nowhere are not tried again in this phase.
    bool augment(std::size_t i) {
        for (; next_[i] < adjacent_[i].size(); ++next_[i]) {
            const std::uint32_t j = adjacent_[i][next_[i]];
            if (has_room(j)) {
                take(i, j);
                return true;
            }
            for (std::size_t k = 0; k < holders_[j].size(); ++k) {
                const std::size_t holder = holders_[j][k];
                if (layer_[holder] != layer_[i] + 1 || !augment(holder)) continue;
                take(i, j);
                return true;
            }
        }
        return false;
    }

    void take(std::size_t i, std::uint32_t j) {
        if (given_[i] != nobody) {
            auto& before = holders_[static_cast<std::size_t>(given_[i])];
            before.erase(std::find(before.begin(), before.end(), i));
        }
        given_[i] = static_cast<std::int32_t>(j);
        holders_[j].push_back(i);
    }

    const std::vector<std::vector<std::uint32_t>>& adjacent_;
    const std::vector<std::int32_t>& places_;
    std::vector<std::int32_t> given_;
    std::vector<std::vector<std::size_t>> holders_;
    std::vector<std::int32_t> layer_;
    std::vector<std::size_t> next_;
};

}  // namespace

std::vector<std::int32_t> largest_matching(const std::vector<std::vector<std::uint32_t>>& adjacent,
                                           const std::vector<std::int32_t>& places) {
    return Matcher(adjacent, places).run();
}

}  // namespace ladderline::domain
