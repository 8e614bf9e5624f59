#pragma once
// An upgrade that was passed and that the register does not show yet: one answer for the steps and for "may I transmit
// here?".

#include "node/domain/licence/exam_steps.hpp"

namespace ladderline::domain {

// The class that was applied for, where it has an identifier and the licence has not ended; null: none. Its rights may
// be over.
const LicenceClass* upgrade_awaited(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today);

// The same while its rights last (47 CFR 97.9(b)).
const LicenceClass* upgrade_usable(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today);

}  // namespace ladderline::domain
