// The texts of a rule book; the headings below are the formats. Lists are separated by commas, "-" is an empty one.
// state: certain | uncertain. A class, element or key stands once. Two lines that allow one class the same kind of
// emission may not overlap, so that a signal has one limit of power; but the same right may have a line for each place
// at which its power is measured, and then every limit holds.

#include "node/domain/rules/rule_book.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <map>

#include "embedded/rules.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr std::string_view country_heading = "key\tvalue\trule\tas_of\tstate\tnote";
constexpr std::string_view class_heading = "code\tname\tgranted\telements\tindicator\trule\tas_of\tstate\tnote";
constexpr std::string_view exam_heading = "element\topens\tquestions\tleast_right\trule\tas_of\tstate\tnote";
constexpr std::string_view credit_heading = "held\twhen\tgranted_before\telements\trule\tas_of\tstate\tnote";
constexpr std::string_view advice_heading = "when\twho\ttext\trule\tas_of\tstate\tnote";
constexpr std::string_view privilege_heading =
    "band\tlow_khz\thigh_khz\tclasses\temissions\tpower_w\tbasis\trule\tas_of\tstate\tnote";

constexpr std::array<std::string_view, 13> country_keys{
    "name",
    "regulator",
    "where",
    "whole-signal",
    "control-operator",
    "least-power",
    "guest",
    "guest-abroad",
    "fee",
    "pending-upgrade",
    "upgrade-fee",
    "renewal-days",
    "identification-minutes",
};

Result<std::vector<CountryFact>> read_facts(const std::string& file, std::string_view text) {
    TRY(const RuleTable table, RuleTable::read(file, text, country_heading));
    std::vector<CountryFact> out;
    for (const RuleTable::Row& row : table.rows()) {
        const std::string& key = row.fields[0];
        const bool twice = std::any_of(out.begin(), out.end(), [&](auto& f) { return f.key == key; });
        if (twice) return table.bad(row, "repeats the key '" + key + "'");
        if (std::find(country_keys.begin(), country_keys.end(), key) == country_keys.end()) {
            return table.bad(row, "has an unknown key, '" + key + "'");
        }
        if (row.fields[1].empty()) return table.bad(row, "has no value");
        TRY(RuleSource source, table.source(row, 2));
        out.push_back({key, row.fields[1], std::move(source)});
    }
    for (const std::string_view key : country_keys) {
        const bool there = std::any_of(out.begin(), out.end(), [&](auto& f) { return f.key == key; });
        if (!there) return table.bad_whole("lacks the key '" + std::string(key) + "'");
    }
    return out;
}

Result<std::vector<LicenceClass>> read_classes(const std::string& file, std::string_view text) {
    TRY(const RuleTable table, RuleTable::read(file, text, class_heading));
    std::vector<LicenceClass> out;
    for (const RuleTable::Row& row : table.rows()) {
        const auto& f = row.fields;
        const bool twice = std::any_of(out.begin(), out.end(), [&](auto& c) { return c.code == f[0]; });
        if (f[0].empty() || f[1].empty() || twice) return table.bad(row, "needs a code of its own and a name");
        if (f[2] != "yes" && f[2] != "no") return table.bad(row, "must say yes or no in 'granted'");
        TRY(RuleSource source, table.source(row, 5));
        out.push_back({f[0], f[1], f[2] == "yes", comma_list(f[3]), f[4] == "-" ? "" : f[4], std::move(source)});
    }
    if (out.empty()) return table.bad_whole("names no class");
    return out;
}

Result<std::vector<Exam>> read_exams(const std::string& file, std::string_view text, const RuleBook& book) {
    TRY(const RuleTable table, RuleTable::read(file, text, exam_heading));
    std::vector<Exam> out;
    for (const RuleTable::Row& row : table.rows()) {
        const auto& f = row.fields;
        const bool twice = std::any_of(out.begin(), out.end(), [&](auto& e) { return e.element == f[0]; });
        if (f[0].empty() || twice) return table.bad(row, "needs an element of its own");
        if (book.find_class(f[1]) == nullptr) return table.bad(row, "opens an unknown class");
        const auto questions = whole_number(f[2]);
        const auto least = whole_number(f[3]);
        if (!questions || !least || *least < 1 || *least > *questions) {
            return table.bad(row, "needs its number of questions, and no more right answers than that");
        }
        TRY(RuleSource source, table.source(row, 4));
        out.push_back({f[0], f[1], *questions, *least, std::move(source)});
    }
    return out;
}

Result<std::vector<CreditLine>> read_credits(const std::string& file, std::string_view text, const RuleBook& book) {
    TRY(const RuleTable table, RuleTable::read(file, text, credit_heading));
    std::vector<CreditLine> out;
    for (const RuleTable::Row& row : table.rows()) {
        const auto& f = row.fields;
        if (book.find_class(f[0]) == nullptr) return table.bad(row, "speaks of an unknown class");
        if (f[1] != "unexpired" && f[1] != "expired") return table.bad(row, "must say unexpired or expired");
        const bool unexpired = f[1] == "unexpired";
        std::optional<Day> before;
        if (f[2] != "-") {
            const auto day = parse_day(f[2]);
            if (!day) return table.bad(row, "needs a day before which the class was granted, or -");
            before = day.value();
        }
        const bool twice = std::any_of(out.begin(), out.end(), [&](auto& c) {
            return c.held == f[0] && c.unexpired == unexpired && c.granted_before == before;
        });
        if (twice) return table.bad(row, "repeats a class");
        TRY(RuleSource source, table.source(row, 4));
        out.push_back({f[0], unexpired, before, comma_list(f[3]), std::move(source)});
    }
    return out;
}

Result<std::vector<ExamAdvice>> read_advice(const std::string& file, std::string_view text) {
    constexpr std::array<std::string_view, 5> times{"week", "day", "passed", "not-passed", "renewal"};
    constexpr std::array<std::string_view, 3> persons{"all", "first", "upgrade"};
    TRY(const RuleTable table, RuleTable::read(file, text, advice_heading));
    std::vector<ExamAdvice> out;
    for (const RuleTable::Row& row : table.rows()) {
        const auto time = std::find(times.begin(), times.end(), row.fields[0]);
        if (time == times.end()) return table.bad(row, "must say week, day, passed, not-passed or renewal");
        const auto who = std::find(persons.begin(), persons.end(), row.fields[1]);
        if (who == persons.end()) return table.bad(row, "must say all, first or upgrade");
        if (row.fields[2].empty() || row.fields[2].ends_with('.')) {
            return table.bad(row, "needs a text without a full stop");
        }
        TRY(RuleSource source, table.source(row, 3));
        out.push_back({static_cast<ExamTime>(time - times.begin()), static_cast<ExamWho>(who - persons.begin()),
                       row.fields[2], std::move(source)});
    }
    return out;
}

Result<Privilege> read_privilege(const RuleTable& table, const RuleTable::Row& row, const RuleBook& book) {
    const auto& f = row.fields;
    Privilege out;
    out.band = f[0];
    const auto low = hertz_of_khz(f[1]);
    const auto high = hertz_of_khz(f[2]);
    if (out.band.empty() || !low || !high || *low >= *high) {
        return table.bad(row, "needs a band, and a low and a high edge in kHz");
    }
    out.span = {*low, *high};
    out.classes = comma_list(f[3]);
    const bool known = std::all_of(out.classes.begin(), out.classes.end(), [&](const std::string& code) {
        return std::any_of(book.classes.begin(), book.classes.end(), [&](auto& c) { return c.code == code; });
    });
    if (out.classes.empty() || !known) return table.bad(row, "names no class, or an unknown one");
    for (const std::string& word : comma_list(f[4])) {
        const auto emission = parse_allowed_emission(word);
        if (!emission) return table.bad(row, "has an emission that cannot be read, '" + word + "'");
        out.emissions.push_back(*emission);
    }
    if (out.emissions.empty()) return table.bad(row, "allows no emission");
    const auto power = positive_number(f[5]);
    if (!power) return table.bad(row, "needs its power in watts");
    out.power_w = *power;
    if (f[6] != "PEP" && f[6] != "ERP" && f[6] != "EIRP") return table.bad(row, "must say PEP, ERP or EIRP");
    out.basis = f[6] == "PEP" ? PowerBasis::pep : f[6] == "ERP" ? PowerBasis::erp : PowerBasis::eirp;
    TRY(out.source, table.source(row, 7));
    return out;
}

bool share_class(const Privilege& a, const Privilege& b) {
    return std::find_first_of(a.classes.begin(), a.classes.end(), b.classes.begin(), b.classes.end()) !=
           a.classes.end();
}

bool share_kind(const Privilege& a, const Privilege& b) {
    for (const AllowedEmission& one : a.emissions) {
        for (const AllowedEmission& other : b.emissions) {
            if (!one.kind || !other.kind || *one.kind == *other.kind) return true;
        }
    }
    return false;
}

// The same right, with its power measured elsewhere.
bool is_second_limit(const Privilege& a, const Privilege& b) {
    const auto same_emission = [](const AllowedEmission& x, const AllowedEmission& y) {
        return x.kind == y.kind && x.form == y.form && x.width_hz_max == y.width_hz_max;
    };
    return a.basis != b.basis && a.span == b.span && a.classes == b.classes && a.source.certain == b.source.certain &&
           std::equal(a.emissions.begin(), a.emissions.end(), b.emissions.begin(), b.emissions.end(), same_emission);
}

Result<std::vector<Privilege>> read_privileges(const std::string& file, std::string_view text, const RuleBook& book) {
    TRY(const RuleTable table, RuleTable::read(file, text, privilege_heading));
    std::vector<Privilege> out;
    for (const RuleTable::Row& row : table.rows()) {
        TRY(Privilege line, read_privilege(table, row, book));
        for (const Privilege& before : out) {
            const bool apart = line.span.low_hz >= before.span.high_hz || line.span.high_hz <= before.span.low_hz;
            if (apart || is_second_limit(line, before)) continue;
            if (share_class(line, before) && share_kind(line, before)) {
                return table.bad(row, "overlaps an earlier line for the same class and emission");
            }
        }
        out.push_back(std::move(line));
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const Privilege& a, const Privilege& b) { return a.span.low_hz < b.span.low_hz; });
    return out;
}

std::string_view shipped_text(const std::string& name) {
    for (const auto& file : embedded::rules::all) {
        if (file.name == name) return file.text;
    }
    ENSURE(false && "a country lacks one of its files");
    return {};
}

std::map<std::string, RuleBook, std::less<>> read_shipped() {
    std::map<std::string, RuleBook, std::less<>> out;
    for (const std::string& country : shipped_countries()) {
        const RuleTexts texts{shipped_text(country + "_country.tsv"),  shipped_text(country + "_classes.tsv"),
                              shipped_text(country + "_exams.tsv"),    shipped_text(country + "_credit.tsv"),
                              shipped_text(country + "_exam_day.tsv"), shipped_text(country + "_privileges.tsv")};
        auto book = parse_rule_book(country, texts);
        ENSURE(book.has_value());
        out.emplace(country, std::move(book).value());
    }
    return out;
}

bool same_word(std::string_view a, std::string_view b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](char x, char y) {
        return std::tolower(static_cast<unsigned char>(x)) == std::tolower(static_cast<unsigned char>(y));
    });
}

}  // namespace

const CountryFact& RuleBook::fact(std::string_view key) const {
    const auto at = std::find_if(facts.begin(), facts.end(), [&](auto& f) { return f.key == key; });
    ENSURE(at != facts.end());
    return *at;
}

const LicenceClass* RuleBook::find_class(std::string_view code_or_name) const {
    for (const LicenceClass& c : classes) {
        if (same_word(c.code, code_or_name) || same_word(c.name, code_or_name)) return &c;
    }
    return nullptr;
}

const Exam* RuleBook::find_exam(std::string_view element) const {
    const auto at = std::find_if(exams.begin(), exams.end(), [&](auto& e) { return same_word(e.element, element); });
    return at != exams.end() ? &*at : nullptr;
}

const CreditLine* RuleBook::credit(std::string_view held, bool unexpired, std::optional<Day> granted) const {
    const CreditLine* out = nullptr;
    for (const CreditLine& c : credits) {
        if (c.held != held || c.unexpired != unexpired) continue;
        if (c.granted_before ? granted && *granted < *c.granted_before : out == nullptr) out = &c;
    }
    return out;
}

Result<RuleBook> parse_rule_book(std::string_view country, const RuleTexts& texts) {
    const std::string prefix = std::string(country) + "_";
    RuleBook out;
    out.country = country;
    TRY(out.facts, read_facts(prefix + "country.tsv", texts.country));
    TRY(out.classes, read_classes(prefix + "classes.tsv", texts.classes));
    TRY(out.exams, read_exams(prefix + "exams.tsv", texts.exams, out));
    TRY(out.credits, read_credits(prefix + "credit.tsv", texts.credit, out));
    TRY(out.advice, read_advice(prefix + "exam_day.tsv", texts.exam_day));
    TRY(out.privileges, read_privileges(prefix + "privileges.tsv", texts.privileges, out));
    return out;
}

std::vector<std::string> shipped_countries() {
    constexpr std::string_view ending = "_country.tsv";
    std::vector<std::string> out;
    for (const auto& file : embedded::rules::all) {
        if (file.name.ends_with(ending)) out.emplace_back(file.name.substr(0, file.name.size() - ending.size()));
    }
    return out;
}

Result<const RuleBook*> shipped_rule_book(std::string_view country) {
    static const auto books = read_shipped();
    std::string wanted;
    for (const char c : country) wanted += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    const auto at = books.find(wanted);
    if (at != books.end()) return &at->second;
    std::string known;
    for (const auto& [name, book] : books) known += (known.empty() ? "" : ", ") + name;
    return Error{Fault::not_found,
                 "There are no rules of '" + std::string(country) + "' here; there are those of: " + known + "."};
}

}  // namespace ladderline::domain
