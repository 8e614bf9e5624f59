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

void add_blocks(std::vector<WhyNot>& out, const PairFacts& facts, const HardRules& rules) {
    if (facts.blocked_by_newcomer) out.push_back(WhyNot::blocked_by_newcomer);
    if (facts.blocked_by_mentor) out.push_back(WhyNot::blocked_by_mentor);
    if (facts.blocked_by_officer) out.push_back(WhyNot::blocked_by_officer);
    if (facts.same_household && !rules.household_may_mentor) out.push_back(WhyNot::same_household);
    if (facts.not_taken_up) out.push_back(WhyNot::not_taken_up);
}

void add_safeguards(std::vector<WhyNot>& out, const PairingNewcomer& newcomer, const PairingMentor& mentor,
                    const HardRules& rules) {
    if (!newcomer.is_minor) return;
    const Safeguards& safeguards = newcomer.safeguards;
    if (!safeguards.guardian_consent_until) {
        out.push_back(WhyNot::no_guardian_consent);
    } else if (*safeguards.guardian_consent_until < rules.today) {
        out.push_back(WhyNot::guardian_consent_passed);
    }
    if (!safeguards.guardian_will_be_present && !has_second_adult(newcomer, mentor, rules.pairing_ends)) {
        out.push_back(WhyNot::no_second_adult);
    }
    if (!mentor.cleared_until) {
        out.push_back(WhyNot::no_mentor_clearance);
    } else if (*mentor.cleared_until < rules.pairing_ends) {
        out.push_back(WhyNot::mentor_clearance_ends);
    }
}

void add_distance(std::vector<WhyNot>& out, const PairingNewcomer& newcomer, const PairingMentor& mentor,
                  const PairFacts& facts) {
    if (newcomer.accepts_remote && mentor.accepts_remote) return;
    if (!newcomer.distance_km_max && !mentor.distance_km_max) return;
    if (!facts.distance_km) {
        out.push_back(WhyNot::distance_unknown);
        return;
    }
    const bool is_too_far = (newcomer.distance_km_max && *facts.distance_km > *newcomer.distance_km_max) ||
                            (mentor.distance_km_max && *facts.distance_km > *mentor.distance_km_max);
    if (is_too_far) out.push_back(WhyNot::too_far);
}

}  // namespace

std::vector<WhyNot> reasons_against(const PairingNewcomer& newcomer, const PairingMentor& mentor,
                                    const PairFacts& facts, const HardRules& rules) {
    std::vector<WhyNot> out;
    add_blocks(out, facts, rules);
    if (!share_one(newcomer.languages, mentor.languages)) out.push_back(WhyNot::no_common_language);
    if (mentor.class_held < newcomer.class_needed) out.push_back(WhyNot::class_too_low);
    if (newcomer.control_class_needed && mentor.control_class < *newcomer.control_class_needed) {
        out.push_back(WhyNot::control_class_too_low);
    }
    add_safeguards(out, newcomer, mentor, rules);
    const bool written_is_enough = newcomer.accepts_written_only && mentor.accepts_written_only;
    if (facts.weekly_common_minutes < rules.weekly_common_minutes_min && !written_is_enough) {
        out.push_back(WhyNot::too_little_common_time);
    }
    add_distance(out, newcomer, mentor, facts);
    return out;
}

std::string_view to_sentence(WhyNot reason) {
    switch (reason) {
        case WhyNot::blocked_by_newcomer:
            return "The newcomer does not wish to be paired with this mentor.";
        case WhyNot::blocked_by_mentor:
            return "The mentor does not wish to be paired with this newcomer.";
        case WhyNot::blocked_by_officer:
            return "An officer has ruled this pair out.";
        case WhyNot::same_household:
            return "Both are of one family or household, which the club does not pair.";
        case WhyNot::not_taken_up:
            return "It was proposed to the two not long ago and did not come about; nobody has to say why.";
        case WhyNot::no_common_language:
            return "There is no language that both speak well enough.";
        case WhyNot::class_too_low:
            return "The mentor's licence class is below what the newcomer's goal needs.";
        case WhyNot::control_class_too_low:
            return "Nobody at the mentor's station holds the class for the bands wanted on the air.";
        case WhyNot::no_guardian_consent:
            return "The newcomer is under age and no guardian's consent is on file.";
        case WhyNot::guardian_consent_passed:
            return "The newcomer is under age and the date of the guardian's consent has passed.";
        case WhyNot::no_second_adult:
            return "The newcomer is under age, and neither will a guardian be present nor is a second cleared adult "
                   "named.";
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
