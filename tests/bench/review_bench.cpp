// The review of a big club, from the encrypted store: CPU time of the commands and of whole pages, opened anew (nothing
// in SQLite's cache) and again, beside the least that could be read for it: every member and card, in the same run.
//   bench_review_bench [MEMBERS [EVENTS [FOLDER]]]     1,000, 100,000, and a new temporary folder, unless given
// The size that the goals are for: 5000 1000000. A folder that is given is kept, and its store is used again.
// Prints a table and never fails on time.

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <functional>

#include "node/commands/club_numbers.hpp"
#include "node/commands/review.hpp"
#include "node/web/pages/pages.hpp"
#include "tests/bench/cpu_time.hpp"
#include "tests/bench/sync/officer.hpp"
#include "tests/support/scratch.hpp"

using namespace ladderline;
using namespace ladderline::bench;

namespace {

constexpr int rounds = 5;

void build(const std::filesystem::path& folder, const World& world) {
    Node node(folder);
    must(node.log().add_key(world.circle(), world.key()));
    std::vector<protocol::Run> runs;
    std::size_t bytes = 0;
    for (std::size_t i = 0; i < world.log_count(); ++i) {
        World::Written log = world.write(i);
        bytes += log.bytes;
        std::move(log.runs.begin(), log.runs.end(), std::back_inserter(runs));
        if (bytes < 4'000'000 && i + 1 < world.log_count()) continue;
        must(node.log().append_runs(world.circle(), runs));
        runs.clear();
        bytes = 0;
    }
}

using Work = std::function<std::size_t(node::Context&)>;  // gives bytes or lines, so that nothing is left out

double cpu_ms(const Work& work, node::Context& context) {
    const double begun = cpu_s();
    if (work(context) == 0) throw std::runtime_error("a work of the bench gave nothing");
    return 1000 * (cpu_s() - begun);
}

double median(std::vector<double> all) {
    std::sort(all.begin(), all.end());
    return all[all.size() / 2];
}

double report(const char* what, const std::filesystem::path& folder, const World& world, const Work& work,
              double against) {
    std::vector<double> cold;
    std::vector<double> warm;
    for (int round = 0; round < rounds; ++round) {
        Officer officer(folder, world);
        cold.push_back(cpu_ms(work, officer.context));
        warm.push_back(cpu_ms(work, officer.context));
    }
    const double typical = median(cold);
    std::printf("%-34s %9.1f %9.1f %9.2f\n", what, typical, median(warm), against > 0 ? typical / against : 1.0);
    return typical;
}

Work page(const char* address) {
    return [address](node::Context& context) {
        node::web::Router router;
        node::web::add_pages(router, context);
        node::web::Request request;
        request.path = address;
        request.csrf = std::string(64, '5');
        const node::web::Response response = router.answer(request);
        if (response.status != 200) throw std::runtime_error("page " + std::string(address) + ": " + response.body);
        return response.body.size();
    };
}

void run(const WorldSize& size, const std::filesystem::path& folder) {
    const World world(size);
    if (!std::filesystem::exists(folder / "store.db")) {
        const double begun = cpu_s();
        build(folder, world);
        std::printf("built in %.0f s\n", cpu_s() - begun);
    }
    std::printf("%zu members, %zu events; CPU ms\n%-34s %9s %9s %9s\n", size.logs, size.events, "", "anew", "again",
                "ratio");
    const double least = report(
        "every member and card", folder, world,
        [](node::Context& context) {
            const auto club = must(node::own_circle(context, protocol::CircleKind::club));
            return must(node::people(context.db, club.id)).size();
        },
        0);
    report(
        "review", folder, world, [](node::Context& context) { return must(node::review(context)).lines.size() + 1; },
        least);
    report(
        "how long it takes", folder, world,
        [](node::Context& context) { return must(node::club_numbers(context)).milestones.size(); }, least);
    report(
        "the year", folder, world,
        [](node::Context& context) { return must(node::annual_report(context)).sentences.size(); }, least);
    report(
        "what changed since the review", folder, world,
        [](node::Context& context) { return must(node::question(context, 35)).looked_at.size(); }, least);
    for (const char* address : {"/club", "/club/numbers", "/club/year", "/club/questions/1"}) {
        report(address, folder, world, page(address), least);
    }
}

}  // namespace

int main(int argc, char** argv) {
    WorldSize size{1000, 100'000, Sayings::club};
    if (argc > 1) size.logs = std::strtoull(argv[1], nullptr, 10);
    if (argc > 2) size.events = std::strtoull(argv[2], nullptr, 10);
    try {
        const test::ScratchFolder scratch("bench");
        run(size, argc > 3 ? std::filesystem::path(argv[3]) : scratch.path() / "club");
    } catch (const std::exception& fault) {
        std::fprintf(stderr, "review_bench: %s\n", fault.what());
        return 1;
    }
    return 0;
}
