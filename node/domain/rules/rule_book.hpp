#pragma once
// A country's rules as data: who may hold what, what an examination asks, and who may send what where. One set of files
// a country (node/rules/CC_country.tsv, CC_classes.tsv, CC_exams.tsv, CC_credit.tsv, CC_exam_day.tsv,
// CC_privileges.tsv); another country is another set. Every line says from which rule it is, for which day it was
// right, and whether it was checked; what was not checked is answered with "not known".

#include <optional>
#include <span>

#include "node/domain/rules/emission.hpp"

namespace ladderline::domain {

struct LicenceClass {
    std::string code;                   // "T"
    std::string name;                   // "Technician"
    bool granted = false;               // new licences of it are given
    std::vector<std::string> elements;  // passed by a new holder; empty: none is named
    std::string indicator;              // behind the call sign while an upgrade to it is pending; may be empty
    RuleSource source;
};

struct Exam {
    std::string element;  // "2"
    std::string opens;    // code of the class
    std::int32_t questions = 0;
    std::int32_t least_right = 0;
    RuleSource source;
};

struct CreditLine {
    std::string held;                   // code of the class
    bool unexpired = false;             // in force or in the grace period; else longer ago
    std::optional<Day> granted_before;  // only if the class was granted before it
    std::vector<std::string> elements;
    RuleSource source;
};

enum class PowerBasis : std::uint8_t { pep, erp, eirp };

struct Privilege {
    std::string band;  // the regulator's name of it
    Span span;         // edges belong to it
    std::vector<std::string> classes;
    std::vector<AllowedEmission> emissions;
    double power_w = 0;
    PowerBasis basis = PowerBasis::pep;
    RuleSource source;
};

// A sentence that is of use around an examination.
enum class ExamTime : std::uint8_t { week, day, passed, not_passed, renewal };
enum class ExamWho : std::uint8_t { all, first, upgrade };
struct ExamAdvice {
    ExamTime when = ExamTime::week;
    ExamWho who = ExamWho::all;
    std::string text;  // without a full stop
    RuleSource source;
};

struct CountryFact {
    std::string key;
    std::string value;
    RuleSource source;
};

struct RuleBook {
    std::string country;  // "us"
    std::vector<CountryFact> facts;
    std::vector<LicenceClass> classes;  // fewest rights first
    std::vector<Exam> exams;
    std::vector<CreditLine> credits;
    std::vector<ExamAdvice> advice;
    std::vector<Privilege> privileges;

    const CountryFact& fact(std::string_view key) const;  // a key that every book has
    const LicenceClass* find_class(std::string_view code_or_name) const;
    const Exam* find_exam(std::string_view element) const;
    // `granted`: when that class was first granted, if it is known.
    const CreditLine* credit(std::string_view held, bool unexpired, std::optional<Day> granted = {}) const;
    // The rank of a class: its place in `classes`.
    std::size_t rank(const LicenceClass& c) const { return static_cast<std::size_t>(&c - classes.data()); }
};

// The texts of a country's six files.
struct RuleTexts {
    std::string_view country;
    std::string_view classes;
    std::string_view exams;
    std::string_view credit;
    std::string_view exam_day;
    std::string_view privileges;
};
// Strict: the first bad line is named by file and number.
Result<RuleBook> parse_rule_book(std::string_view country, const RuleTexts& texts);

// Countries whose files came with the program, as two small letters.
std::vector<std::string> shipped_countries();
// not_found for a country without files.
Result<const RuleBook*> shipped_rule_book(std::string_view country);

}  // namespace ladderline::domain
