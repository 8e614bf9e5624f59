#include "node/domain/pairing/pair_cost.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ladderline::domain {
namespace {

constexpr double full_weekly_minutes = 120;
constexpr double distance_scale_km = 50;
constexpr double remote_match_min = 0.6;
constexpr double nothing_named = 0.5;
constexpr double other_language = 0.5;

bool contains(const std::vector<std::string>& set, const std::string& value) {
    return std::find(set.begin(), set.end(), value) != set.end();
}

double overlap(const std::vector<std::string>& a, const std::vector<std::string>& b) {
    const auto common = static_cast<double>(
        std::count_if(a.begin(), a.end(), [&](const std::string& value) { return contains(b, value); }));
    const double all = static_cast<double>(a.size() + b.size()) - common;
    return all > 0 ? common / all : nothing_named;
}

double distance_match(const PairingNewcomer& newcomer, const PairingMentor& mentor, const PairFacts& facts) {
    const double least = newcomer.accepts_remote && mentor.accepts_remote ? remote_match_min : 0.0;
    return facts.apart ? std::max(least, std::exp(-facts.apart->centres_km / distance_scale_km)) : least;
}

double language_match(const PairingNewcomer& newcomer, const PairingMentor& mentor) {
    if (newcomer.languages.empty()) return 0;
    if (contains(mentor.languages, newcomer.languages.front())) return 1;
    const bool any = std::any_of(newcomer.languages.begin(), newcomer.languages.end(),
                                 [&](const std::string& language) { return contains(mentor.languages, language); });
    return any ? other_language : 0;
}

// Steps of the ladder that is issued today; the two older classes stand beside the step that they lead to.
int step_of(ClassRank rank) {
    switch (rank) {
        case ClassRank::none:
            return 0;
        case ClassRank::novice:
        case ClassRank::technician:
            return 1;
        case ClassRank::general:
        case ClassRank::advanced:
            return 2;
        case ClassRank::extra:
            return 3;
    }
    return 0;
}

double class_match(const PairingNewcomer& newcomer, const PairingMentor& mentor) {
    const int above = step_of(mentor.class_held) - step_of(newcomer.class_held);
    return above == 1 || above == 2 ? 1 : 0;
}

}  // namespace

std::string_view label_of(CostPart part) {
    switch (part) {
        case CostPart::common_time:
            return "common time";
        case CostPart::distance:
            return "distance";
        case CostPart::bands_and_modes:
            return "bands and modes";
        case CostPart::goals:
            return "goals";
        case CostPart::language:
            return "language";
        case CostPart::class_above:
            return "licence class";
    }
    return {};
}

Result<void> check(const PairWeights& weights) {
    const bool any_negative = std::any_of(weights.of.begin(), weights.of.end(), [](double w) { return !(w >= 0); });
    const double sum = std::accumulate(weights.of.begin(), weights.of.end(), 0.0);
    if (any_negative || !(std::fabs(sum - 1.0) <= 1e-9)) {
        return Error{Fault::bad_input,
                     "The weights of the pairing must be 0 or more and add up to 1; nothing was changed."};
    }
    return ok();
}

PairCost cost_of_pair(const PairingNewcomer& newcomer, const PairingMentor& mentor, const PairFacts& facts,
                      const PairWeights& weights) {
    PairCost out;
    out.match = {std::clamp(facts.weekly_common_minutes / full_weekly_minutes, 0.0, 1.0),
                 distance_match(newcomer, mentor, facts),
                 overlap(newcomer.bands_and_modes, mentor.bands_and_modes),
                 overlap(newcomer.goals, mentor.goals),
                 language_match(newcomer, mentor),
                 class_match(newcomer, mentor)};
    double lost = 0;
    for (std::size_t k = 0; k < cost_parts; ++k) {
        out.points_lost[k] = 1000 * weights.of[k] * (1 - out.match[k]);
        lost += out.points_lost[k];
    }
    out.cost = static_cast<std::int32_t>(std::clamp(std::lround(lost), 0L, 1000L));
    return out;
}

}  // namespace ladderline::domain
