// soak: five nodes of a club and a courier, as real processes on the loopback, whose connections are hurt by a seed for
// a while. Afterwards everybody must hold the same without being started anew, and so must the courier; and those who
// ran all the time must not have grown. Ends with 1 if not.
//   soak PROGRAM [--seconds N] [--seed N]     20 seconds (times LADDERLINE_TEST_SIZE), seed 1, unless given
// The growth of memory between the second and the last third is always said, and is a fault from 600 seconds on.

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <numeric>

#include "tests/soak/crowd.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline::soak;
using Clock = std::chrono::steady_clock;

namespace {

constexpr double drift_percent_max = 2.0;
constexpr double judged_from_s = 600;
// Calls that fail are made again after 300 s at the latest; the processes are waited for twice as long.
constexpr double settling_s_max = 600;
constexpr double pause_s = 0.25;
// However long it takes, so many things happen at most: memory shall show what connections cost, not the events.
constexpr double steps_max = 4000;

volatile std::sig_atomic_t stopped = 0;

void on_signal(int) {
    stopped = 1;
}

double seconds_since(Clock::time_point begun) {
    return std::chrono::duration<double>(Clock::now() - begun).count();
}

void pause(double seconds) {
    boost::asio::io_context io;
    boost::asio::steady_timer timer(io, std::chrono::milliseconds(static_cast<std::int64_t>(seconds * 1000)));
    timer.wait();
}

struct Sample {
    double at_s;
    std::vector<std::int64_t> kib;
};

// The mean of one process's memory between two moments, in KiB.
double mean_kib(const std::vector<Sample>& samples, std::size_t process, double from_s, double to_s) {
    double sum = 0;
    double count = 0;
    for (const Sample& sample : samples) {
        if (sample.at_s < from_s || sample.at_s >= to_s) continue;
        sum += static_cast<double>(sample.kib.at(process));
        count += 1;
    }
    return count == 0 ? 0 : sum / count;
}

// How much the one that grew most grew from the second third to the last, in per cent.
double worst_drift(const std::vector<Sample>& samples, double seconds) {
    double worst = -100;
    for (std::size_t process = 0; process < samples.front().kib.size(); ++process) {
        const double second = mean_kib(samples, process, seconds / 3, seconds * 2 / 3);
        const double last = mean_kib(samples, process, seconds * 2 / 3, seconds * 2);
        if (second > 0) worst = std::max(worst, 100 * (last - second) / second);
    }
    return worst;
}

struct Options {
    std::string program;
    double seconds = 20.0 * ladderline::test::test_size();
    std::uint64_t seed = 1;
};

std::vector<Sample> hurt_for(Crowd& crowd, double seconds) {
    std::vector<Sample> samples;
    const auto begun = Clock::now();
    const double between_s = std::max(pause_s, seconds / steps_max);
    for (double now = 0; now < seconds && stopped == 0; now = seconds_since(begun)) {
        crowd.step();
        samples.push_back({seconds_since(begun), crowd.memory_kib()});
        pause(between_s);
    }
    return samples;
}

// Seconds until everybody holds the same; the bound if it was not enough.
double settle(Crowd& crowd) {
    const auto begun = Clock::now();
    while (!crowd.is_settled() && stopped == 0 && seconds_since(begun) < settling_s_max) pause(pause_s);
    return seconds_since(begun);
}

int soak(const Options& options) {
    Crowd crowd(options.program, options.seed);
    crowd.meet();
    settle(crowd);
    if (!crowd.is_settled()) {
        std::printf("soak: without any fault they do not hold the same: %s\n", crowd.digests().c_str());
        return 1;
    }
    crowd.begin_faults();
    const auto begun = Clock::now();
    const std::vector<Sample> samples = hurt_for(crowd, options.seconds);
    const double hurt_s = seconds_since(begun);
    const FaultCounts faults = crowd.faults();
    crowd.end_faults();
    const double settled_s = settle(crowd);
    const bool settled = crowd.is_settled();
    const bool courier = crowd.courier_is_in_step();
    const double drift = worst_drift(samples, hurt_s);
    const CrowdCounts& n = crowd.counts();
    const auto number = [](std::uint64_t value) { return static_cast<unsigned long long>(value); };
    std::printf("soak: seed %llu, acts %llu, refused %llu, nodes stopped %llu, killed %llu, lines cut %llu\n",
                number(options.seed), number(n.acts), number(n.refused), number(n.stopped), number(n.killed),
                number(n.partitions));
    std::printf(
        "soak: connections %llu, hurt %llu: refused %llu, delayed %llu, cut %llu, truncated %llu, changed %llu; "
        "bytes %llu\n",
        number(faults.connections), number(faults.hurt()), number(faults.refused), number(faults.delayed),
        number(faults.cut), number(faults.truncated), number(faults.changed), number(faults.bytes));
    std::printf("soak: afterwards %s digests after %.1f s; courier %s\n", crowd.digests().c_str(), settled_s,
                courier ? "in step" : "NOT in step");
    const bool judged = options.seconds >= judged_from_s;
    std::printf("soak: memory of %zu processes, most growth from second to last third %.1f %% (%s)\n",
                samples.front().kib.size(), drift, judged ? "at most 2.0 %" : "not judged before 600 s");
    const bool hurt_enough = faults.hurt() > 0;
    if (!hurt_enough) std::printf("soak: nothing was hurt, so this proves nothing\n");
    const bool grew = judged && drift > drift_percent_max;
    const bool good = settled && courier && n.refused == 0 && hurt_enough && !grew;
    std::printf("soak: seconds %.0f, processes %zu, %s\n", hurt_s, members + 1, good ? "failed 0" : "failed 1");
    return good ? 0 : 1;
}

}  // namespace

int main(int count, char** words) {
    std::setvbuf(stdout, nullptr, _IOLBF, 0);
    Options options;
    for (int i = 1; i < count; ++i) {
        if (std::strcmp(words[i], "--seconds") == 0 && i + 1 < count) {
            options.seconds = std::max(1.0, std::strtod(words[++i], nullptr));
        } else if (std::strcmp(words[i], "--seed") == 0 && i + 1 < count) {
            options.seed = std::strtoull(words[++i], nullptr, 10);
        } else {
            options.program = std::filesystem::absolute(words[i]).string();
        }
    }
    if (options.program.empty()) {
        std::fputs("soak PROGRAM [--seconds N] [--seed N]\n", stderr);
        return 2;
    }
    std::signal(SIGINT, on_signal);
    try {
        return soak(options);
    } catch (const std::exception& fault) {
        std::printf("soak: %s\n", fault.what());
        return 1;
    }
}
