#pragma once
// From the booked exam to the licence and its renewal: what is of use today, and nothing else. Pure; the exam team and
// the regulator come first, and the sentences say so.

#include "node/domain/licence/clocks.hpp"
#include "node/domain/rules/rule_book.hpp"

namespace ladderline::domain {

struct PassedElement {
    std::string element;
    Day day;
    bool confirmed = false;  // somebody else saw the certificate and signed for it
};

struct ExamTry {
    std::string element;
    Day day;
};

struct ExamFacts {
    KnownDates dates;  // exam_booked is the next session, or the last one that nothing was said of since
    std::string booked_element;
    std::string booked_place;
    std::vector<PassedElement> passed;  // every one, oldest first
    std::vector<ExamTry> not_passed;    // from the own desk; nobody else's sheet has them
    std::string held_class;             // code of the class in the register; empty: none yet
};

// What is added to the call sign while an upgrade is pending; empty where there is none (no licence before, or no
// upgrade). 47 CFR 97.119(f).
std::string temporary_identifier(const RuleBook& book, std::string_view from, std::string_view to);

// The class that all these elements open; null: none.
const LicenceClass* class_opened(const RuleBook& book, const std::vector<std::string>& elements);

struct CreditView {
    std::string element;
    std::string why;               // a sentence
    std::optional<Day> last_safe;  // of a certificate
    bool counts = false;           // today; a certificate on its doubtful day does not
};
// Every element that something speaks for: certificates, and the licence held (in force, or in its grace period).
std::vector<CreditView> credits(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today);
// Elements still to be passed for a class that is given today.
struct ToPass {
    const LicenceClass* opens = nullptr;
    std::vector<std::string> elements;  // empty: all of them count
};
std::vector<ToPass> still_to_pass(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today);

enum class StepTone : std::uint8_t { plain, caution, glad };
struct ExamStep {
    std::string title;
    StepTone tone = StepTone::plain;
    std::vector<std::string> sentences;
};
// In the order of use. Never empty: where nothing is due, that is said.
std::vector<ExamStep> exam_steps(const RuleBook& book, const ExamFacts& facts, const Clocks& clocks, Day today);

}  // namespace ladderline::domain
