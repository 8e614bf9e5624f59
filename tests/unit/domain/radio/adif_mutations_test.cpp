// A good file, changed in one place, some hundred times: what was not touched is still offered as it was, and what is
// missing has been said, with its place.

#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "node/domain/radio/adif.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

constexpr std::size_t records = 12;

// xorshift64*, Vigna 2016: the same draws everywhere.
class Dice {
public:
    explicit Dice(std::uint64_t seed) : state_(seed * 0x9E3779B97F4A7C15ULL + 1) {}
    std::size_t below(std::size_t n) {
        state_ ^= state_ >> 12;
        state_ ^= state_ << 25;
        state_ ^= state_ >> 27;
        return static_cast<std::size_t>((state_ * 0x2545F4914F6CDD1DULL) >> 33) % n;
    }

private:
    std::uint64_t state_;
};

LogEntry entry(std::size_t i) {
    LogEntry out;
    out.call = "KD0XAA";
    out.call[4] = static_cast<char>('A' + i);
    out.start = {parse_utc("2026-11-25T19:00:00Z").value().ms + static_cast<std::int64_t>(i) * 60'000};
    out.frequency_hz = 146'520'000 + static_cast<std::int64_t>(i) * 5'000;
    out.band = find_band("2m");
    out.mode = {i % 2 == 0 ? "FM" : "SSB", i % 2 == 0 ? "" : "USB"};
    out.rst_sent = "59";
    out.rst_received = std::to_string(51 + i % 9);
    out.station_callsign = "WB0XMN";
    out.comment = i % 3 == 0 ? "says <hello:5> to all" : "by the lake, row " + std::to_string(i);
    return out;
}

struct Good {
    std::vector<LogEntry> entries;
    std::string text;
    std::vector<std::size_t> ends;  // behind the <EOR> of each record
    std::size_t header_end = 0;

    Good() {
        for (std::size_t i = 0; i < records; ++i) entries.push_back(entry(i));
        text = write_adi({"Ladderline", "1", {0}}, entries);
        header_end = text.find("<EOH>") + 5;
        for (std::size_t at = text.find("<EOR>"); at != std::string::npos; at = text.find("<EOR>", at + 1)) {
            ends.push_back(at + 5);
        }
        REQUIRE(ends.size() == records);
        REQUIRE(read_log(text).entries == entries);
    }
    // The record that holds the byte.
    std::size_t record_at(std::size_t at) const {
        const auto found = std::upper_bound(ends.begin(), ends.end(), at);
        return std::min<std::size_t>(static_cast<std::size_t>(found - ends.begin()), records - 1);
    }
};

struct Mutation {
    std::string text;
    std::size_t first = 0;  // records that it touched
    std::size_t last = 0;
    std::string what;
};

// Nothing before the first record is touched: what a broken header may cost is a test of its own.
Mutation mutate(const Good& good, Dice& dice) {
    Mutation out{good.text, 0, 0, ""};
    const std::size_t at = good.header_end + dice.below(good.text.size() - good.header_end);
    const std::size_t length = 1 + dice.below(12);
    const std::size_t end = std::min(good.text.size(), at + length);
    out.first = good.record_at(at);
    out.last = good.record_at(end - 1);
    switch (dice.below(6)) {
        case 0:
            out.what = "one byte changed";
            out.text[at] = static_cast<char>(dice.below(256));
            out.last = out.first;
            break;
        case 1:
            out.what = "bytes left out";
            out.text.erase(at, end - at);
            break;
        case 2:
            out.what = "bytes put in";
            out.text.insert(at, std::string(length, "<>:9AE\n"[dice.below(7)]));
            out.last = out.first;
            break;
        case 3:
            out.what = "a piece doubled";
            out.text.insert(at, good.text.substr(at, end - at));
            break;
        case 4:
            out.what = "cut off";
            out.text.resize(at);
            out.last = records - 1;
            break;
        default: {
            out.what = "a digit of a length changed";
            std::size_t colon = good.text.find(':', at);
            if (colon == std::string::npos || colon + 1 >= good.text.size()) colon = good.text.rfind(':');
            out.first = out.last = good.record_at(colon);
            out.text[colon + 1] = static_cast<char>('0' + dice.below(10));
        }
    }
    return out;
}

std::size_t count_of(const std::vector<LogEntry>& all, const LogEntry& wanted) {
    return static_cast<std::size_t>(std::count(all.begin(), all.end(), wanted));
}

void check_sentence(const AdifProblem& problem) {
    CHECK(problem.sentence.back() == '.');
    CHECK(problem.sentence.find("(byte ") != std::string::npos);
    CHECK(problem.sentence.find('\n') == std::string::npos);
}

}  // namespace

TEST_CASE("three hundred broken copies of a good file: what was not touched is offered, what is missing is named") {
    const Good good;
    const std::size_t mutations = 300 * test::test_size();
    std::size_t said = 0;
    for (std::size_t number = 0; number < mutations; ++number) {
        Dice dice(number);
        const Mutation broken = mutate(good, dice);
        CAPTURE(number);
        CAPTURE(broken.what);
        const Log log = read_log(broken.text);
        for (const AdifProblem& problem : log.problems) check_sentence(problem);
        std::size_t missing = 0;
        for (std::size_t i = 0; i < records; ++i) {
            // A broken end of a record takes the next one along: nobody can tell where it began.
            const bool touched = i >= broken.first && i <= broken.last + 1;
            const std::size_t count = count_of(log.entries, good.entries[i]);
            if (!touched) CHECK(count == 1);
            if (count == 0) ++missing;
        }
        // What is not there any more is there changed, or somebody was told; a record that was cut off whole left no
        // trace to tell of.
        const std::size_t changed = static_cast<std::size_t>(std::count_if(
            log.entries.begin(), log.entries.end(), [&](const LogEntry& e) { return count_of(good.entries, e) == 0; }));
        const bool is_cut = broken.what == "cut off";
        if (missing > changed && !is_cut) CHECK_FALSE(log.problems.empty());
        if (!log.problems.empty()) ++said;
    }
    // The mutations are no idle ones: a third of them at least is spoken of.
    CHECK(said * 3 >= mutations);
}
