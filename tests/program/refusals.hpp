#pragma once
// What every refusal of the program must be like, and what it must leave alone.

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>

#include "protocol/base/time.hpp"
#include "tests/support/program/program.hpp"

namespace ladderline::test {

// One line that ends as a sentence does, and nothing else.
inline bool is_one_sentence(const std::string& err) {
    const bool one_line = std::count(err.begin(), err.end(), '\n') == 1 && err.ends_with(".\n");
    return one_line && err.starts_with("ladderline: ");
}

// Everything a person can see of their store.
inline std::string all_of_store(const Person& person) {
    std::string all = person.must({"--json", "sees"});
    for (const char* word : {"way", "contact"}) all += person.run({"--json", word}).out;  // a mentor has none
    return all;
}

// The sentence; the test goes on only if this was a refusal.
inline std::string refusal(const Outcome& outcome, int exit_code) {
    CAPTURE(outcome.out);
    CAPTURE(outcome.err);
    REQUIRE(outcome.exit_code == exit_code);
    REQUIRE(is_one_sentence(outcome.err));
    CHECK(outcome.out.empty());
    return outcome.err;
}

// The day that many days from the program's today, in UTC; for rules that compare with the calendar.
inline std::string day_from_now(const Person& somebody, std::int32_t days) {
    const auto today = nlohmann::json::parse(somebody.must({"--json", "today"})).at("day").get<std::string>();
    return to_iso(parse_day(today).value() + days);
}

inline bool holds(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

// A folder in which Ada, a newcomer, has begun.
struct AdasFolder {
    AdasFolder() { ada.must({"begin", "--name", "Ada Finch"}); }

    TemporaryFolder folder;
    Person ada{LADDERLINE_PROGRAM, folder, "ada"};
};

// The code that `json`, the output of an invite with --json, holds.
inline std::string code_in(const std::string& json) {
    return nlohmann::json::parse(json).at("code").get<std::string>();
}

}  // namespace ladderline::test
