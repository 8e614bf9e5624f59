#include "node/domain/pairing/hard_rules.hpp"

#include <algorithm>

namespace ladderline::domain {
namespace {

bool share_one(const std::vector<std::string>& a, const std::vector<std::string>& b) {
    return std::any_of(a.begin(), a.end(),
                       [&](const std::string& x) { return std::find(b.begin(), b.end(), x) != b.end(); });
}

bool has_second_adult(const PairingNewcomer& newcomer, const PairingMentor& mentor, Day pairing_ends) {
    const auto& adults = newcomer.safeguards.second_adults;
    return std::any_of(adults.begin(), adults.end(), [&](const SecondAdult& adult) {
        return adult.id != mentor.id && adult.cleared_until && *adult.cleared_until >= pairing_ends;
    });
}

void add_safeguards(WhyNots& out, const PairingNewcomer& newcomer, const PairingMentor& mentor,
                    const HardRules& rules) {
    if (!newcomer.is_minor) return;
    const Safeguards& safeguards = newcomer.safeguards;
    if (!safeguards.guardian_consent_until) {
        out.add(WhyNot::no_guardian_consent);
    } else if (*safeguards.guardian_consent_until < rules.today) {
        out.add(WhyNot::guardian_consent_passed);
    }
    if (!has_second_adult(newcomer, mentor, rules.pairing_ends)) out.add(WhyNot::no_second_adult);
    if (!mentor.cleared_until) {
        out.add(WhyNot::no_mentor_clearance);
    } else if (*mentor.cleared_until < rules.pairing_ends) {
        out.add(WhyNot::mentor_clearance_ends);
    }
}

void add_distance(WhyNots& out, const PairingNewcomer& newcomer, const PairingMentor& mentor, const PairFacts& facts) {
    if (newcomer.accepts_remote && mentor.accepts_remote) return;
    if (!newcomer.distance_km_max && !mentor.distance_km_max) return;
    if (!facts.apart) {
        out.add(WhyNot::distance_unknown);
        return;
    }
    // The least that the locators allow: neighbours may live in squares whose centres lie far apart.
    const auto is_beyond = [&](std::optional<double> max_km) { return max_km && facts.apart->least_km() > *max_km; };
    if (is_beyond(newcomer.distance_km_max) || is_beyond(mentor.distance_km_max)) out.add(WhyNot::too_far);
}

}  // namespace

std::vector<WhyNot> WhyNots::listed() const {
    std::vector<WhyNot> out;
    for (std::uint32_t k = 0; k <= static_cast<std::uint32_t>(WhyNot::distance_unknown); ++k) {
        if ((bits_ >> k & 1) != 0) out.push_back(static_cast<WhyNot>(k));
    }
    return out;
}

std::vector<WhyNot> reasons_against(const PairingNewcomer& newcomer, const PairingMentor& mentor,
                                    const PairFacts& facts, const HardRules& rules) {
    return why_nots(newcomer, mentor, facts, rules).listed();
}

WhyNots why_nots(const PairingNewcomer& newcomer, const PairingMentor& mentor, const PairFacts& facts,
                 const HardRules& rules) {
    WhyNots out;
    if (facts.blocked_by_officer) out.add(WhyNot::blocked_by_officer);
    if (facts.not_taken_up) out.add(WhyNot::not_taken_up);
    if (!share_one(newcomer.languages, mentor.languages)) out.add(WhyNot::no_common_language);
    add_safeguards(out, newcomer, mentor, rules);
    const bool written_is_enough = newcomer.accepts_written_only && mentor.accepts_written_only;
    if (facts.weekly_common_minutes < rules.weekly_common_minutes_min && !written_is_enough) {
        out.add(WhyNot::too_little_common_time);
    }
    add_distance(out, newcomer, mentor, facts);
    return out;
}

std::string_view to_sentence(WhyNot reason) {
    switch (reason) {
        case WhyNot::blocked_by_officer:
            return "An officer has ruled this pair out.";
        case WhyNot::not_taken_up:
            return "It was proposed to the two not long ago and did not come about; nobody has to say why.";
        case WhyNot::no_common_language:
            return "There is no language that both speak well enough.";
        case WhyNot::no_guardian_consent:
            return "The newcomer is under age and no guardian's consent is on file.";
        case WhyNot::guardian_consent_passed:
            return "The newcomer is under age and the date of the guardian's consent has passed.";
        case WhyNot::no_second_adult:
            return "The newcomer is under age, and no second adult who is cleared is named.";
        case WhyNot::no_mentor_clearance:
            return "The newcomer is under age and no clearance of the mentor is on file.";
        case WhyNot::mentor_clearance_ends:
            return "The newcomer is under age and the mentor's clearance ends before the pairing does.";
        case WhyNot::too_little_common_time:
            return "They have too little common time in a week, and not both accept written contact only.";
        case WhyNot::too_far:
            return "They live farther apart than one of them accepts, and not both accept remote help.";
        case WhyNot::distance_unknown:
            return "A locator is missing, so the distance that one of them limits is not known.";
    }
    return {};
}

}  // namespace ladderline::domain
