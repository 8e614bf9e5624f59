// Times of the study calculations, CPU milliseconds on one thread, best of five. Prints, and never fails on time.
//
// A pool of 410 questions in 35 groups; 2,000 answers over 40 days; an examination ten days later.

#include <algorithm>
#include <cstdio>
#include <ctime>
#include <functional>
#include <vector>

#include "node/domain/study/projection.hpp"
#include "node/domain/study/random.hpp"
#include "node/domain/study/readiness.hpp"

using namespace ladderline::domain;

namespace {

double best_ms(const std::function<void()>& work) {
    double best = 1e30;
    for (int round = 0; round < 5; ++round) {
        const std::clock_t start = std::clock();
        work();
        best = std::min(best, 1000.0 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
    }
    return best;
}

void report(const char* what, double goal_ms, const std::function<void()>& work) {
    std::printf("%-46s %9.2f ms   goal %6.0f ms\n", what, best_ms(work), goal_ms);
}

std::vector<StudyAnswer> answers() {
    SplitMix64 generator(2026);
    std::vector<StudyAnswer> records;
    for (int n = 0; n < 2000; ++n) {
        const int question = static_cast<int>(bounded(generator, 410));
        const Outcome outcome = bounded(generator, 10) < 7 ? Outcome::right : Outcome::wrong;
        records.push_back({question, n / 50.0, outcome});
    }
    return records;
}

}  // namespace

int main() {
    constexpr int mark = 26;
    std::vector<int> sizes(35, 12);
    for (std::size_t g = 0; g < 10; ++g) sizes[g] = 11;
    const StudyShape shape = shape_of(sizes);
    const std::vector<StudyAnswer> records = answers();
    const StudyMemory memory = StudyMemory::replay(shape, records);
    double sink = 0;

    report("replay of 2,000 answers", 20, [&] { sink += StudyMemory::replay(shape, records).retention_log2_mean(); });
    report("one chance to pass", 2, [&] { sink += pass_chance(memory, mark, 50); });
    report("gains of all 410 questions", 10, [&] { sink += showing_gains(memory, mark, 41, 50)[0]; });
    ProjectionPlan plan{.mark = mark, .now = 40, .pace = 40, .days = 30, .target = 2};
    report("30 days ahead at 40 a day", 1000, [&] { sink += project(memory, plan).pass_chances.back(); });
    const StudyMemory newcomer(shape);
    report("the same for one who has seen nothing yet", 1000,
           [&] { sink += project(newcomer, plan).pass_chances.back(); });
    plan.days = projection_days_max;
    report("a year ahead at 40 a day", 1000, [&] { sink += project(memory, plan).pass_chances.back(); });
    ProjectionPlan pace{.mark = mark, .now = 40};
    report("pace needed for an exam in 30 days", 1000, [&] { sink += least_pace(memory, pace, 70).value_or(0); });
    report("pace needed for an exam in a year", 1000, [&] { sink += least_pace(memory, pace, 405).value_or(0); });
    std::printf("(sum of results %.6f)\n", sink);
    return 0;
}
