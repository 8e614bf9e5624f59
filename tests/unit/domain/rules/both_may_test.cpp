#include "node/domain/rules/both_may.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

const RuleBook& us() {
    static const RuleBook* book = shipped_rule_book("us").value();
    return *book;
}

const RadioEnd ana{"Ana", "T", false, ""};
const RadioEnd ben{"Ben", "G", false, ""};
const RadioEnd unknown{"Cleo", "", false, ""};
const RadioEnd guest{"Dan", "", true, ""};
const RadioEnd canadian{"Eve", "", false, "Canada"};

BothMay both(const RadioEnd& one, const RadioEnd& other, std::int64_t hz, const char* mode) {
    return both_may(us(), one, other, hz, mode).value();
}

bool says(const std::vector<std::string>& sentences, std::string_view words) {
    return std::any_of(sentences.begin(), sentences.end(),
                       [&](const std::string& s) { return s.find(words) != std::string::npos; });
}

bool offers(const std::vector<JudgedPlace>& places, std::int64_t hz, Verdict verdict) {
    return std::any_of(places.begin(), places.end(),
                       [&](const JudgedPlace& p) { return p.place.hz == hz && p.both.verdict == verdict; });
}

}  // namespace

TEST_CASE("two may where both may, with the least power of the two") {
    const BothMay out = both(ana, ben, 28'400'000, "USB");
    CHECK(out.verdict == Verdict::yes);
    CHECK(out.sentences.empty());
    REQUIRE(out.limits.size() == 1);
    CHECK(out.limits[0].watts == 200);
}

TEST_CASE("two may not where one may not, and it is said who") {
    const BothMay out = both(ana, ben, 14'280'000, "USB");
    CHECK(out.verdict == Verdict::no);
    CHECK(says(out.sentences, "For Ana: "));
    CHECK_FALSE(says(out.sentences, "Ben"));
}

TEST_CASE("a class that is not known is said and never guessed") {
    const BothMay out = both(unknown, ben, 146'550'000, "FM");
    CHECK(out.verdict == Verdict::not_known);
    CHECK(says(out.sentences, "The class of Cleo is not known here"));
}

TEST_CASE("a guest's end is for the operator beside them, and the other end is judged") {
    CHECK(both(guest, ben, 146'550'000, "FM").verdict == Verdict::yes);
    CHECK(both(guest, ana, 14'280'000, "USB").verdict == Verdict::no);
    CHECK(says(both(guest, ben, 146'550'000, "FM").sentences, "For Dan the licensed operator beside them decides"));
}

TEST_CASE("another country's rules are not those of the book") {
    const BothMay out = both(ana, canadian, 146'550'000, "FM");
    CHECK(out.verdict == Verdict::not_known);
    CHECK(says(out.sentences, "belongs to Canada"));
}

TEST_CASE("a mode that nobody knows is an error") {
    CHECK_FALSE(both_may(us(), ana, ben, 146'550'000, "smoke").has_value());
}

TEST_CASE("places for a Technician and a General leave out what the Technician may not use") {
    const auto places = places_for(us(), ana, ben);
    CHECK(offers(places, 146'550'000, Verdict::yes));
    CHECK(offers(places, 28'400'000, Verdict::yes));
    CHECK(offers(places, 7'060'000, Verdict::yes));
    CHECK_FALSE(offers(places, 14'280'000, Verdict::yes));
    CHECK_FALSE(offers(places, 14'280'000, Verdict::not_known));
}

TEST_CASE("places for two Generals hold the shortwave ones too") {
    CHECK(offers(places_for(us(), ben, ben), 14'280'000, Verdict::yes));
}

TEST_CASE("where a class is not known every place is named as not known, none as allowed") {
    const auto places = places_for(us(), unknown, ben);
    REQUIRE_FALSE(places.empty());
    CHECK(std::all_of(places.begin(), places.end(),
                      [](const JudgedPlace& p) { return p.both.verdict == Verdict::not_known; }));
}

TEST_CASE("every shipped place can be used by somebody") {
    const RadioEnd extra{"Fay", "E", false, ""};
    CHECK(places_for(us(), extra, extra).size() == shipped_meeting_places("us").size());
}

TEST_CASE("a guest is told who stays beside them, and of agreements where the contact crosses a border") {
    const auto at_home = guest_words(us(), guest, ben);
    CHECK(says(at_home, "stays beside them"));
    CHECK_FALSE(says(at_home, "agreement"));
    CHECK(says(guest_words(us(), guest, canadian), "only if there is an agreement"));
    CHECK(guest_words(us(), ana, ben).empty());
}

TEST_CASE("a table of places with a slip names the line") {
    const char* head = "mhz\tmode\tnote\tsource\n";
    for (const char* line :
         {"much\tFM\tnote\tsource\n", "146.5\tsmoke\tnote\tsource\n", "146.5\tFM\t\tsource\n", "146.5\tFM\tnote\n"}) {
        CAPTURE(line);
        CHECK_FALSE(parse_meeting_places(std::string(head) + line).has_value());
    }
}

TEST_CASE("a frequency is written as a radio shows it") {
    CHECK(megahertz_text(146'520'000) == "146.52");
    CHECK(megahertz_text(446'000'000) == "446.00");
    CHECK(megahertz_text(7'060'500) == "7.0605");
}
