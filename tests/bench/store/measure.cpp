#include "tests/bench/store/measure.hpp"

#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cstdio>

namespace ladderline::bench {
namespace {

double cpu_ms_now() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    const auto ms = [](const timeval& t) {
        return static_cast<double>(t.tv_sec) * 1e3 + static_cast<double>(t.tv_usec) / 1e3;
    };
    return ms(usage.ru_utime) + ms(usage.ru_stime);
}

const Line::Compared* vault_of(const Line& line) {
    for (const Line::Compared& side : line.sides) {
        if (side.kind == Kind::vault) return &side;
    }
    return nullptr;
}

// What the budget is about; nothing if the vault did not take part.
std::optional<double> judged(const Line& line) {
    if (line.sides.empty()) return line.value;
    const Line::Compared* vault = vault_of(line);
    return vault == nullptr ? std::nullopt : std::optional(vault->ratio);
}

std::string number(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%.4g", value);
    return text;
}

}  // namespace

Taken time_of(const std::function<void()>& work) {
    const double cpu_ms = cpu_ms_now();
    const auto start = std::chrono::steady_clock::now();
    work();
    const auto wall = std::chrono::steady_clock::now() - start;
    return {std::chrono::duration<double, std::milli>(wall).count(), cpu_ms_now() - cpu_ms};
}

std::vector<Series> measure(const Work& work, const std::vector<Side*>& sides) {
    std::vector<Series> out;
    for (const Side* side : sides) out.push_back({side->kind(), {}, {}});
    for (int round = 0; round < work.rounds; ++round) {
        for (Side* side : sides) work.prepare(*side);
        std::vector<Taken> total(sides.size());
        for (std::size_t slice = 0; slice < work.slices; ++slice) {
            for (std::size_t turn = 0; turn < sides.size(); ++turn) {
                const std::size_t i = (turn + slice + static_cast<std::size_t>(round)) % sides.size();
                const Taken taken = time_of([&] { work.slice(*sides[i], slice); });
                total[i].wall_ms += taken.wall_ms;
                total[i].cpu_ms += taken.cpu_ms;
            }
        }
        for (std::size_t i = 0; i < sides.size(); ++i) {
            out[i].wall_ms.push_back(total[i].wall_ms);
            out[i].cpu_ms.push_back(total[i].cpu_ms);
        }
    }
    return out;
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const std::size_t middle = values.size() / 2;
    return values.size() % 2 == 1 ? values[middle] : (values[middle - 1] + values[middle]) / 2;
}

Line line_of(const std::string& place, const Work& work, const std::vector<Series>& series,
             std::optional<double> budget) {
    Line line;
    line.place = place;
    line.name = work.name;
    line.rounds = work.rounds;
    line.budget = budget;
    const Series& plain = series.front();
    // A side alone is measured to be looked at, not judged.
    if (plain.kind != Kind::plain) line.budget.reset();
    for (const Series& side : series) {
        std::vector<double> ratios;
        for (std::size_t i = 0; i < side.wall_ms.size(); ++i) ratios.push_back(side.wall_ms[i] / plain.wall_ms[i]);
        const double wall_ms = median(side.wall_ms);
        const double cpu_ms = median(side.cpu_ms);
        line.sides.push_back({side.kind, wall_ms, cpu_ms, wall_ms / median(plain.wall_ms),
                              cpu_ms / median(plain.cpu_ms), *std::min_element(ratios.begin(), ratios.end()),
                              *std::max_element(ratios.begin(), ratios.end())});
    }
    return line;
}

void print_heading() {
    std::printf("%-6s %-28s %9s %9s | %6s %-13s %6s %6s %-6s | %9s %6s\n", "place", "work", "plain ms", "vault ms",
                "ratio", "(spread)", "of CPU", "budget", "", "cipher ms", "ratio");
}

void print(const Line& line) {
    const std::string budget = line.budget ? number(*line.budget) : "-";
    const char* verdict = !line.budget ? "" : holds(line) ? "holds" : "MISSED";
    std::printf("%-6s %-28s ", line.place.c_str(), line.name.c_str());
    if (line.sides.empty()) {
        const std::string spread = "(" + number(line.value_min) + "-" + number(line.value_max) + ")";
        const std::string cpu = line.value_cpu > 0 ? number(line.value_cpu) : "";
        std::printf("%9s %9s | %6.2f %-13s %6s %6s %-6s |\n", "", line.unit.c_str(), line.value, spread.c_str(),
                    cpu.c_str(), budget.c_str(), verdict);
    } else {
        if (line.sides.front().kind == Kind::plain) {
            std::printf("%9.1f ", line.sides.front().wall_ms);
        } else {
            std::printf("%9s ", "-");
        }
        for (const Line::Compared& side : line.sides) {
            if (side.kind == Kind::plain) continue;
            if (side.kind == Kind::sqlcipher) {
                std::printf("%9.1f %6.2f", side.wall_ms, side.ratio);
                continue;
            }
            const std::string spread = "(" + number(side.ratio_min) + "-" + number(side.ratio_max) + ")";
            std::printf("%9.1f | %6.3f %-13s %6.3f %6s %-6s | ", side.wall_ms, side.ratio, spread.c_str(),
                        side.cpu_ratio, budget.c_str(), verdict);
        }
        std::printf("\n");
    }
    std::fflush(stdout);
}

std::string json_of(const Line& line) {
    std::string out =
        R"({"place":")" + line.place + R"(","work":")" + line.name + R"(","rounds":)" + std::to_string(line.rounds);
    for (const Line::Compared& side : line.sides) {
        const std::string name = name_of(side.kind);
        out += ",\"" + name + "_ms\":" + number(side.wall_ms) + ",\"" + name + "_cpu_ms\":" + number(side.cpu_ms);
        if (side.kind == Kind::plain || line.sides.front().kind != Kind::plain) continue;
        out += ",\"" + name + "_ratio\":" + number(side.ratio) + ",\"" + name +
               "_ratio_min\":" + number(side.ratio_min) + ",\"" + name + "_ratio_max\":" + number(side.ratio_max) +
               ",\"" + name + "_cpu_ratio\":" + number(side.cpu_ratio);
    }
    if (line.sides.empty()) {
        out += R"(,"unit":")" + line.unit + R"(","value":)" + number(line.value) +
               ",\"value_min\":" + number(line.value_min) + ",\"value_max\":" + number(line.value_max);
        if (line.value_cpu > 0) out += ",\"value_cpu\":" + number(line.value_cpu);
    }
    if (line.budget) out += ",\"budget\":" + number(*line.budget) + ",\"holds\":" + (holds(line) ? "true" : "false");
    return out + "}";
}

bool holds(const Line& line) {
    const std::optional<double> value = judged(line);
    return !line.budget || !value || *value <= *line.budget;
}

}  // namespace ladderline::bench
