// simulate: whole networks from a seed.

#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string_view>

#include "tests/simulation/campaign.hpp"

namespace {

volatile std::sig_atomic_t stopped = 0;

void on_signal(int) {
    stopped = 1;
}

const char* usage =
    "simulate --seed N [--seeds COUNT] [--nodes N] [--steps N] [--byzantine] [--no-faults] [--story]\n"
    "simulate --folds COUNT | --plain-folds COUNT | --sessions COUNT [--seed N]\n"
    "Runs whole networks of nodes from seeds, and says which seed fails and how. Ctrl-C ends it with what was done.\n";

}  // namespace

int main(int argc, char** argv) {
    std::setvbuf(stdout, nullptr, _IOLBF, 0);
    ladderline::simulation::Campaign campaign;
    for (int i = 1; i < argc; ++i) {
        const std::string_view word = argv[i];
        const bool has_value = i + 1 < argc;
        const auto number = [&] { return std::strtoull(argv[++i], nullptr, 10); };
        if (word == "--seed" && has_value) {
            campaign.first = number();
        } else if (word == "--seeds" && has_value) {
            campaign.count = number();
        } else if (word == "--nodes" && has_value) {
            campaign.options.nodes = static_cast<std::size_t>(number());
        } else if (word == "--steps" && has_value) {
            campaign.options.steps = static_cast<std::size_t>(number());
        } else if (word == "--byzantine") {
            campaign.options.byzantine = true;
        } else if (word == "--no-faults") {
            campaign.options.faults = false;
        } else if ((word == "--folds" || word == "--plain-folds" || word == "--sessions") && has_value) {
            using Which = ladderline::simulation::Campaign::Which;
            campaign.what = word == "--sessions"      ? Which::sessions
                            : word == "--plain-folds" ? Which::plain_folds
                                                      : Which::folds;
            campaign.count = number();
        } else if (word == "--story") {
            campaign.tells_story = true;
        } else {
            std::fputs(usage, stderr);
            return 2;
        }
    }
    std::signal(SIGINT, on_signal);
    campaign.is_stopped = [] { return stopped != 0; };
    return run_campaign(campaign) ? 0 : 1;
}
