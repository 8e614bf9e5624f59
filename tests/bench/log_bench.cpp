// Reading a log and comparing two, each of 50,000 contacts: medians of CPU time on one thread, and what they are
// against the least that the same data can cost (looking at every byte, sorting every row) in the same run.
//   bench_log_bench [CONTACTS]      50,000 unless given
// Prints and never fails on time.

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <numeric>
#include <tuple>
#include <vector>

#include "node/domain/radio/adif.hpp"
#include "node/domain/radio/log_match.hpp"
#include "tests/bench/cpu_time.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

constexpr int rounds = 7;

struct Spread {
    double least = 0;
    double median = 0;
    double greatest = 0;
};

Spread measure_ms(const std::function<void()>& work) {
    std::vector<double> all;
    for (int round = 0; round < rounds; ++round) {
        const double start = bench::cpu_s();
        work();
        all.push_back(1000 * (bench::cpu_s() - start));
    }
    std::sort(all.begin(), all.end());
    return {all.front(), all[all.size() / 2], all.back()};
}

void report(const char* what, const Spread& s, const Spread& least, const char* against) {
    std::printf("%-44s %9.2f ms (%.2f to %.2f), %6.1f times %s (%.2f ms)\n", what, s.median, s.least, s.greatest,
                s.median / std::max(0.001, least.median), against, least.median);
}

// Call signs that can belong to nobody: K, a letter, 0 or 1, X and two letters.
std::string call(std::uint64_t number) {
    std::string out = "KA0XAA";
    out[1] = static_cast<char>('A' + number % 26);
    out[2] = static_cast<char>('0' + number / 26 % 2);
    out[4] = static_cast<char>('A' + number / 52 % 26);
    out[5] = static_cast<char>('A' + number / 1352 % 26);
    return out;
}

std::vector<LogEntry> log_of(std::size_t contacts) {
    std::vector<LogEntry> out;
    for (std::size_t i = 0; i < contacts; ++i) {
        LogEntry e;
        e.call = call(i * 7919 % 35152);
        e.start = {1'700'000'000'000 + static_cast<std::int64_t>(i) * 900'000};
        e.frequency_hz = 14'200'000 + static_cast<std::int64_t>(i % 100) * 1000;
        e.band = find_band("20m");
        e.mode = {"SSB", "USB"};
        e.rst_sent = "59";
        e.rst_received = "57";
        e.station_callsign = "KB1XZZ";
        e.comment = "row " + std::to_string(i) + " of a long log";
        out.push_back(std::move(e));
    }
    return out;
}

// Both sides of the same contacts: `scatter_min` apart at most, every 20th missing on the other side.
struct TwoLogs {
    std::vector<MatchRow> a;
    std::vector<MatchRow> b;

    TwoLogs(const std::vector<LogEntry>& log, std::size_t stations) {
        const SplitCall own = split_call("KB1XZZ").value();
        for (std::size_t i = 0; i < log.size(); ++i) {
            const SplitCall other = split_call(call(i * 7919 % stations)).value();
            const double minute = static_cast<double>(log[i].start.ms) / 60'000;
            a.push_back({own, other, minute, "20m", ModeGroup::phone});
            if (i % 20 != 0)
                b.push_back({other, own, minute + static_cast<double>(i % 5) - 2, "20m", ModeGroup::phone});
        }
    }
};

void bench_reading(const std::vector<LogEntry>& log) {
    const std::string text = write_adi({"Ladderline", "", {0}}, log);
    std::size_t sink = 0;
    const Spread plain = measure_ms([&] {
        sink += static_cast<std::size_t>(std::count(text.begin(), text.end(), '<'));
        sink += std::accumulate(text.begin(), text.end(), std::size_t{0},
                                [](std::size_t sum, char c) { return sum * 31 + static_cast<unsigned char>(c); });
    });
    std::printf("%zu contacts, %.1f MB of ADI\n", log.size(), static_cast<double>(text.size()) / 1e6);
    report("read to records", measure_ms([&] { sink += read_adi(text).records.size(); }), plain,
           "two looks at every byte");
    report("read to contacts", measure_ms([&] { sink += read_log(text).entries.size(); }), plain,
           "two looks at every byte");
    const std::string tenth = write_adi({"Ladderline", "", {0}}, std::span(log).first(log.size() / 10));
    const Spread small = measure_ms([&] { sink += read_log(tenth).entries.size(); });
    report("read to contacts, against a tenth of them", measure_ms([&] { sink += read_log(text).entries.size(); }),
           small, "a tenth");
    report("written", measure_ms([&] {
               sink += write_adi({"Ladderline", "", {0}}, log).size();
           }),
           plain, "two looks at every byte");
    // A file in which every length is wrong: the reader must not look again and again.
    std::string broken = text;
    for (std::size_t at = broken.find("<CALL:6"); at != std::string::npos; at = broken.find("<CALL:6", at + 1)) {
        broken[at + 6] = '9';
    }
    report("read, with a wrong length in every record", measure_ms([&] { sink += read_log(broken).problems.size(); }),
           plain, "two looks at every byte");
    std::printf("(sum of results %zu)\n", sink);
}

void bench_matching(const std::vector<LogEntry>& log, std::size_t stations) {
    const TwoLogs logs(log, stations);
    std::size_t sink = 0;
    const auto order = [](const MatchRow& x, const MatchRow& y) {
        return std::tie(x.worked.base, x.own.base, x.minute_utc) < std::tie(y.worked.base, y.own.base, y.minute_utc);
    };
    const Spread sorted = measure_ms([&] {
        auto a = logs.a;
        auto b = logs.b;
        std::sort(a.begin(), a.end(), order);
        std::sort(b.begin(), b.end(), order);
        sink += a.size() + b.size();
    });
    std::size_t agreed = 0;
    const Spread matched = measure_ms([&] { agreed = match_logs(logs.a, logs.b).agreed.size(); });
    std::printf("%zu rows with %zu rows of %zu stations: %zu agreed\n", logs.a.size(), logs.b.size(), stations, agreed);
    report("two logs compared (goal 1000 ms)", matched, sorted, "sorting both");
    std::printf("(sum of results %zu)\n", sink);
}

}  // namespace

int main(int argc, char** argv) {
    const std::size_t contacts = argc > 1 ? std::strtoul(argv[1], nullptr, 10) : 50'000;
    const std::vector<LogEntry> log = log_of(std::max<std::size_t>(contacts, 10));
    bench_reading(log);
    bench_matching(log, 35'152);
    bench_matching(log, 20);  // a daily net: many rows with each
    return 0;
}
