#include "node/domain/licence/upgrade.hpp"

#include "node/domain/licence/term.hpp"

namespace ladderline::domain {

const LicenceClass* upgrade_awaited(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today) {
    const KnownDates& dates = facts.dates;
    if (!dates.exam_passed || !dates.licensed_at_exam || dates.class_visible || facts.held_class.empty())
        return nullptr;
    if (licence_ended(dates, clocks, today)) return nullptr;
    // Of the day of the latest pass: the class that was applied for stays the same while its certificate grows old.
    std::vector<std::string> elements;
    for (const CreditView& c : credits(book, facts, clocks, *dates.exam_passed)) {
        if (c.counts) elements.push_back(c.element);
    }
    const LicenceClass* aimed = class_opened(book, elements);
    if (aimed == nullptr || temporary_identifier(book, facts.held_class, aimed->code).empty()) return nullptr;
    return aimed;
}

const LicenceClass* upgrade_usable(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today) {
    const LicenceClass* aimed = upgrade_awaited(book, facts, clocks, today);
    const bool lasts = aimed != nullptr && today <= *facts.dates.exam_passed + clocks.temporary_authority_days;
    return lasts ? aimed : nullptr;
}

}  // namespace ladderline::domain
