#include "tests/simulation/campaign.hpp"

#include <unistd.h>

#include <cstdio>
#include <exception>

#include "tests/simulation/fold_sets.hpp"
#include "tests/simulation/session_fuzz.hpp"
#include "tests/simulation/shrink.hpp"

namespace ladderline::simulation {
namespace {

constexpr std::size_t shrink_tries = 150;

void print_story(const Plan& plan, Planted planted) {
    Story story;
    const Outcome outcome = run_plan(plan, planted, &story);
    for (const std::string& line : story.lines()) std::printf("%s\n", line.c_str());
    std::printf("seed %llu: %s\n", static_cast<unsigned long long>(plan.seed),
                outcome.wrong.empty() ? "all is well" : outcome.wrong.c_str());
}

void tell_failure(const Plan& plan, const Outcome& outcome) {
    std::printf("\nseed %llu went wrong: %s\n", static_cast<unsigned long long>(plan.seed), outcome.wrong.c_str());
    const auto kind_of = [](const std::string& wrong) { return wrong.substr(wrong.find(' ') + 1, 12); };
    const Plan small = shrink(
        plan,
        [&](const Plan& less) {
            const std::string wrong = run_plan(less).wrong;
            return !wrong.empty() && kind_of(wrong) == kind_of(outcome.wrong);
        },
        shrink_tries);
    std::printf("the same in %zu steps:\n", small.steps.size());
    print_story(small, Planted::none);
}

void add(Counts& sum, const Counts& more) {
    sum.steps += more.steps;
    sum.events += more.events;
    sum.evil += more.evil;
    sum.sessions += more.sessions;
    sum.messages += more.messages;
    sum.crashes += more.crashes;
    sum.forks += more.forks;
    for (const auto& [row, count] : more.rows) sum.rows[row] += count;
}

}  // namespace

Outcome run_plan(const Plan& plan, Planted planted, Story* story) {
    protocol::init_crypto();
    World world(plan, planted, story);
    return world.run();
}

std::string told(const std::string& what, std::uint64_t first, std::uint64_t run, std::uint64_t failed) {
    const std::uint64_t last = first + run - (run == 0 ? 0 : 1);
    return what + " " + std::to_string(first) + "-" + std::to_string(last) + ": " + std::to_string(run) + " run, " +
           std::to_string(failed) + " failed";
}

bool run_small(const Campaign& campaign) {
    std::uint64_t done = 0;
    std::uint64_t failed = 0;
    std::uint64_t refused = 0;
    std::uint64_t equal = 0;
    for (; done < campaign.count && !campaign.is_stopped(); ++done) {
        const std::uint64_t seed = campaign.first + done;
        std::string wrong;
        if (campaign.what == Campaign::Which::sessions) {
            const FuzzedSession session = fuzz_session(seed);
            refused += session.refused ? 1 : 0;
            equal += session.equal ? 1 : 0;
            wrong = session.wrong;
        } else {
            wrong = check_fold_set(seed, campaign.what == Campaign::Which::plain_folds);
        }
        if (wrong.empty()) continue;
        failed += 1;
        std::printf("%llu: %s\n", static_cast<unsigned long long>(seed), wrong.c_str());
    }
    const char* what = campaign.what == Campaign::Which::sessions      ? "sessions with a liar"
                       : campaign.what == Campaign::Which::plain_folds ? "plain readings"
                                                                       : "orders of events";
    std::printf("%s", told(what, campaign.first, done, failed).c_str());
    if (campaign.what == Campaign::Which::sessions) {
        std::printf("; %llu ended with a refusal, %llu in step all the same", static_cast<unsigned long long>(refused),
                    static_cast<unsigned long long>(equal));
    }
    std::printf("\n");
    return failed == 0;
}

bool run_campaign(const Campaign& campaign) {
    if (campaign.what != Campaign::Which::networks) return run_small(campaign);
    Counts sum;
    std::uint64_t done = 0;
    std::uint64_t failed = 0;
    Trace trace;
    const bool shows_progress = isatty(STDERR_FILENO) != 0 && campaign.count > 1;
    for (; done < campaign.count && !campaign.is_stopped(); ++done) {
        const Plan plan = make_plan(campaign.first + done, campaign.options);
        const Outcome outcome = run_plan(plan);
        add(sum, outcome.counts);
        trace.add(outcome.trace);
        if (!outcome.wrong.empty()) {
            ++failed;
            tell_failure(plan, outcome);
        } else if (campaign.tells_story) {
            print_story(plan, Planted::none);
        }
        if (shows_progress) {
            std::fprintf(stderr, "\r%llu of %llu seeds", static_cast<unsigned long long>(done + 1),
                         static_cast<unsigned long long>(campaign.count));
        }
    }
    if (shows_progress) std::fprintf(stderr, "\n");
    const char* what = campaign.options.byzantine ? "networks with liars" : "honest networks";
    std::printf(
        "%s; %zu steps, %zu events by members, %zu by liars, %zu conversations, %zu "
        "messages, %zu forks; trace %016llx\n",
        told(what, campaign.first, done, failed).c_str(), sum.steps, sum.events, sum.evil, sum.sessions, sum.messages,
        sum.forks, static_cast<unsigned long long>(trace.value()));
    for (const auto& [row, count] : sum.rows) std::printf("  %zu x %s\n", count, row.c_str());
    return failed == 0;
}

}  // namespace ladderline::simulation
