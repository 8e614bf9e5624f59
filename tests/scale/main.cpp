// Clubs of many sizes for a simulated year.
//   scale [--report FOLDER] [--seed NUMBER] [--small]
// Without a folder the page goes to the standard output. --small: minutes become seconds, and figures rough.

#include <filesystem>
#include <fstream>
#include <iostream>

#include "tests/bench/cpu_time.hpp"
#include "tests/scale/page.hpp"
#include "tests/scale/report.hpp"

using namespace ladderline::scale;

namespace {

struct Wanted {
    std::filesystem::path folder;
    Effort effort;
    bool is_small = false;
    bool is_good = true;
};

Wanted read_words(const std::vector<std::string>& words) {
    Wanted out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const bool has_next = i + 1 < words.size();
        if (words[i] == "--report" && has_next) {
            out.folder = words[++i];
        } else if (words[i] == "--seed" && has_next) {
            out.effort.seed = std::strtoull(words[++i].c_str(), nullptr, 10);
        } else if (words[i] == "--small") {
            out.is_small = true;
        } else {
            out.is_good = false;
        }
    }
    if (out.is_small) {
        out.effort.days = 30;
        out.effort.clubs = {1, 5};
        out.effort.sizes = {{50, 30}, {200, 30}, {1000, 30}};
        out.effort.real_days = 2;
    }
    return out;
}

std::string machine_words() {
    std::ifstream info("/proc/cpuinfo");
    for (std::string line; std::getline(info, line);) {
        const std::size_t colon = line.find(": ");
        if (line.starts_with("model name") && colon != std::string::npos) return line.substr(colon + 2);
    }
    return "unknown";
}

}  // namespace

int main(int argc, char** argv) {
    const Wanted wanted = read_words({argv + 1, argv + argc});
    if (!wanted.is_good) {
        std::cerr << "scale [--report FOLDER] [--seed NUMBER] [--small]\n";
        return 2;
    }
    const double begun = ladderline::bench::cpu_s();
    const auto say = [&](const std::string& words) {
        std::cerr << time_words(ladderline::bench::cpu_s() - begun) << " CPU: " << words << "\n";
    };
    const Outcome outcome = run_all(wanted.effort, ladderline::bench::cpu_s, say);
    ReportFiles files = report_of(outcome);
    std::vector<std::size_t> sizes{50, 200, 1000};
    if (!wanted.is_small) sizes.push_back(2000);
    files["measured.md"] = measured_page(outcome, measure_work(sizes, ladderline::bench::cpu_s), machine_words());
    say("all");
    if (wanted.folder.empty()) {
        std::cout << files["report.md"] << "\n" << files["measured.md"];
        return 0;
    }
    std::filesystem::create_directories(wanted.folder);
    for (const auto& [name, text] : files) {
        std::ofstream file(wanted.folder / name, std::ios::binary);
        file << text;
        if (!file.flush()) {
            std::cerr << "The report could not be written to " << wanted.folder << "; nothing else was changed.\n";
            return 1;
        }
    }
    return 0;
}
