#include "node/domain/rules/rule_book.hpp"

#include <doctest/doctest.h>

#include <map>
#include <string>

#include "embedded/rules.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

std::string shipped(const std::string& name) {
    for (const auto& file : embedded::rules::all) {
        if (file.name == name) return std::string(file.text);
    }
    return {};
}

// The shipped files of the United States, one of them changed.
Error refused(const std::string& file, const std::string& from, const std::string& to) {
    std::map<std::string, std::string> texts;
    for (const std::string name : {"country", "classes", "exams", "credit", "exam_day", "privileges"}) {
        texts[name] = shipped("us_" + name + ".tsv");
    }
    std::string& changed = texts[file];
    const std::size_t at = changed.find(from);
    REQUIRE(at != std::string::npos);
    changed.replace(at, from.size(), to);
    const auto book = parse_rule_book("us", {texts["country"], texts["classes"], texts["exams"], texts["credit"],
                                             texts["exam_day"], texts["privileges"]});
    REQUIRE_FALSE(book.has_value());
    return book.error();
}

}  // namespace

TEST_CASE("the files of every shipped country can be read") {
    CHECK(shipped_countries() == std::vector<std::string>{"ca", "us"});
    for (const std::string& country : shipped_countries()) {
        CAPTURE(country);
        const RuleBook& book = *shipped_rule_book(country).value();
        CHECK(book.privileges.size() > 10);
        CHECK(book.classes.size() > 2);
    }
}

TEST_CASE("a country without files is said with those that there are") {
    const auto book = shipped_rule_book("qq");
    REQUIRE_FALSE(book.has_value());
    CHECK(book.error().fault() == Fault::not_found);
    CHECK(book.error().sentence() == "There are no rules of 'qq' here; there are those of: ca, us.");
}

TEST_CASE("every line of a shipped book names its rule and its day") {
    for (const std::string& country : shipped_countries()) {
        for (const Privilege& line : shipped_rule_book(country).value()->privileges) {
            CAPTURE(line.span.low_hz);
            CHECK(line.source.rule != "-");
            CHECK(line.source.as_of.number > 0);
        }
    }
}

TEST_CASE("nothing of Canada's bands counts as checked") {
    for (const Privilege& line : shipped_rule_book("ca").value()->privileges) CHECK_FALSE(line.source.certain);
}

TEST_CASE("a bad line of a rule book is named by its file and number") {
    struct Row {
        const char* file;
        const char* from;
        const char* to;
        const char* sentence;
    };
    static constexpr Row rows[] = {
        {"country", "key\tvalue", "key\tworth", "Line 3 of us_country.tsv is not the heading of this table"},
        {"country", "fee\t35 USD", "toll\t35 USD", "Line 14 of us_country.tsv has an unknown key, 'toll'"},
        {"country", "2022-04-19", "2022-04-31", "Line 14 of us_country.tsv needs a day in 'as_of'"},
        {"country", "fee\t35 USD\t47 CFR 1.1102\t2022-04-19\tcertain", "fee\t35 USD\t47 CFR 1.1102\t2022-04-19\tsure",
         "must say certain or uncertain"},
        {"classes", "G\tGeneral", "T\tGeneral", "Line 6 of us_classes.tsv needs a code of its own and a name"},
        {"classes", "Novice\tno", "Novice\tnever", "Line 4 of us_classes.tsv must say yes or no in 'granted'"},
        {"exams", "\t35\t26", "\t35\t36", "Line 3 of us_exams.tsv needs its number of questions"},
        {"exams", "3\tG", "3\tX", "Line 4 of us_exams.tsv opens an unknown class"},
        {"credit", "E\tunexpired", "E\toverdue", "must say unexpired or expired"},
        {"credit", "T\tunexpired\t1987-03-21", "T\tunexpired\t1987-03-41", "needs a day before which"},
        {"credit", "T\tunexpired\t1987-03-21", "T\tunexpired\t-", "repeats a class"},
        {"exam_day", "week\tfirst", "month\tfirst", "must say week, day, passed, not-passed or renewal"},
        {"privileges", "\t1800\t2000", "\t2000\t1800", "needs a band, and a low and a high edge in kHz"},
        {"privileges", "\t1800\t2000", "\t1800.0001\t2000", "needs a band, and a low and a high edge in kHz"},
        {"privileges", "\t1800\t2000", "\t1800", "has another number of fields than the heading"},
        {"privileges", "PHONE(USB):2800", "PHONE(USB:2800", "has an emission that cannot be read, 'PHONE(USB:2800'"},
        {"privileges", "\t9.15\t", "\tmuch\t", "needs its power in watts"},
        {"privileges", "\tEIRP\t", "\tDC\t", "must say PEP, ERP or EIRP"},
        {"privileges", "\tN,T\t", "\tN,Z\t", "names no class, or an unknown one"},
        {"privileges", "3525\t3600\tG,A,E", "3500\t3600\tG,A,E",
         "overlaps an earlier line for the same class and emission"},
        // A second limit belongs to the same right, and to another place of measuring.
        {"privileges", "5330.6\t5333.4\tG,A,E\tRTTY:2800,DATA:2800\t1500\tPEP",
         "5330.6\t5333.4\tG,A,E\tRTTY:2800,DATA:2800\t1500\tERP",
         "overlaps an earlier line for the same class and emission"},
        {"privileges", "5330.6\t5333.4\tG,A,E\tRTTY:2800,DATA:2800\t1500\tPEP",
         "5330.6\t5333.5\tG,A,E\tRTTY:2800,DATA:2800\t1500\tPEP",
         "overlaps an earlier line for the same class and emission"},
        {"privileges", "5330.6\t5333.4\tG,A,E\tRTTY:2800,DATA:2800\t1500\tPEP",
         "5330.6\t5333.4\tA,E\tRTTY:2800,DATA:2800\t1500\tPEP",
         "overlaps an earlier line for the same class and emission"},
        {"privileges", "5330.6\t5333.4\tG,A,E\tRTTY:2800,DATA:2800\t1500\tPEP",
         "5330.6\t5333.4\tG,A,E\tRTTY:2800,DATA\t1500\tPEP",
         "overlaps an earlier line for the same class and emission"},
        {"privileges", "5330.6\t5333.4\tG,A,E\tRTTY:2800,DATA:2800\t1500\tPEP\t47 CFR 97.313(b)\t2024-05-31\tuncertain",
         "5330.6\t5333.4\tG,A,E\tRTTY:2800,DATA:2800\t1500\tPEP\t47 CFR 97.313(b)\t2024-05-31\tcertain",
         "overlaps an earlier line for the same class and emission"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.from);
        const Error error = refused(row.file, row.from, row.to);
        CHECK(error.fault() == Fault::bad_input);
        CAPTURE(error.sentence());
        CHECK(error.sentence().find(row.sentence) != std::string::npos);
    }
}

TEST_CASE("a country without one of the keys is refused") {
    const Error error = refused("country", "fee\t35 USD", "# fee\t35 USD");
    CHECK(error.sentence() == "The table us_country.tsv lacks the key 'fee'; none of it is used.");
}

TEST_CASE("classes are found by code or name, in either case") {
    const RuleBook& us = *shipped_rule_book("US").value();
    CHECK(us.find_class("t") == us.find_class("Technician"));
    CHECK(us.find_class("amateur extra") == us.find_class("E"));
    CHECK(us.find_class("Z") == nullptr);
}
