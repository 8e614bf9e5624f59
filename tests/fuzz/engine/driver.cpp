// Knocks at one door with the kept inputs and with mutated ones. No special compiler is needed.
//
//   fuzz_NAME [--corpus DIR] [--crashers DIR] [--runs N] [--seed S] [--only N] [--slowest] [FILE...]
//   fuzz_NAME --write-seeds DIR
//
//   --runs N       mutated inputs (default: the door's own, times LADDERLINE_TEST_SIZE)
//   --seed S       another stream of them; every run with one seed is the same
//   --only N       the N-th mutated input (from 1) alone: to see a crash again
//   --slowest      says which input took the most processor time, for people to look at; nothing fails by it
//   --write-seeds  makes the corpus anew from the door's own encoders; inputs of other names stay
//
// An input that crashes is written to crash-NAME in the current folder and named with its number.

#include <fcntl.h>
#include <signal.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>

#include "tests/fuzz/engine/mutator.hpp"
#include "tests/fuzz/engine/watch.hpp"
#include "tests/support/test_size.hpp"

// Of the sanitizers, where they are linked: they end the process without a signal.
extern "C" void __sanitizer_set_death_callback(void (*callback)()) __attribute__((weak));

namespace ladderline::fuzz {
namespace {

namespace fs = std::filesystem;

struct Options {
    std::string corpus;
    std::string crashers;
    std::string write_seeds;
    std::vector<std::string> files;
    std::optional<std::size_t> runs;
    std::uint64_t seed = 1;
    std::size_t only = 0;
    bool slowest = false;
};

// Read when the process dies.
struct Current {
    char name[256] = "";
    const std::uint8_t* bytes = nullptr;
    std::size_t size = 0;
    char out[256] = "";
};
Current current;

void say(const char* text) {
    const ssize_t ignored = write(STDERR_FILENO, text, std::strlen(text));
    static_cast<void>(ignored);
}

void keep_input() {
    if (current.bytes == nullptr) return;
    say("CRASH at ");
    say(current.name);
    const int file = open(current.out, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (file >= 0) {
        const ssize_t ignored = write(file, current.bytes, current.size);
        static_cast<void>(ignored);
        close(file);
        say("; the input is in ");
        say(current.out);
    }
    say("\n");
    current.bytes = nullptr;
}

void on_signal(int number) {
    keep_input();
    signal(number, SIG_DFL);
    raise(number);
}

void watch_for_death(const std::string& name) {
    std::snprintf(current.out, sizeof current.out, "crash-%s", name.c_str());
    for (const int number : {SIGABRT, SIGSEGV, SIGBUS, SIGFPE, SIGILL}) signal(number, on_signal);
    if (__sanitizer_set_death_callback != nullptr) __sanitizer_set_death_callback(keep_input);
}

double processor_ms() {
    rusage used{};
    getrusage(RUSAGE_SELF, &used);
    return static_cast<double>(used.ru_utime.tv_sec) * 1e3 + static_cast<double>(used.ru_utime.tv_usec) / 1e3;
}

class Knocker {
public:
    Knocker(const Door& door, const Options& options) : door_(door), options_(options) {}

    void knock(const std::string& name, ByteView input) {
        std::snprintf(current.name, sizeof current.name, "%s", name.c_str());
        current.size = input.size();
        current.bytes = input.data();
        const double before = options_.slowest ? processor_ms() : 0;
        knock_watched(door_, input);
        current.bytes = nullptr;
        ++knocks_;
        if (!options_.slowest || processor_ms() - before <= slowest_ms_) return;
        slowest_ms_ = processor_ms() - before;
        slowest_ = name + ", " + std::to_string(input.size()) + " bytes";
    }
    void tell(const std::string& name, std::size_t kept) const {
        std::printf("%s: %zu executions (%zu kept inputs)\n", name.c_str(), knocks_, kept);
        if (options_.slowest) std::printf("slowest: %s, %.1f ms\n", slowest_.c_str(), slowest_ms_);
    }

private:
    const Door& door_;
    const Options& options_;
    std::size_t knocks_ = 0;
    double slowest_ms_ = 0;
    std::string slowest_;
};

Bytes bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return Bytes(std::istreambuf_iterator<char>(in), {});
}

std::vector<fs::path> files_in(const std::string& folder) {
    std::vector<fs::path> out;
    if (folder.empty() || !fs::is_directory(folder)) return out;
    for (const auto& entry : fs::directory_iterator(folder)) {
        if (entry.is_regular_file()) out.push_back(entry.path());
    }
    std::sort(out.begin(), out.end());
    return out;
}

Options options_of(const std::vector<std::string>& words) {
    Options out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const auto value = [&] {
            demand(i + 1 < words.size(), "an option lacks its value");
            return words[++i];
        };
        if (words[i] == "--corpus") {
            out.corpus = value();
        } else if (words[i] == "--crashers") {
            out.crashers = value();
        } else if (words[i] == "--write-seeds") {
            out.write_seeds = value();
        } else if (words[i] == "--runs") {
            out.runs = std::stoull(value());
        } else if (words[i] == "--seed") {
            out.seed = std::stoull(value());
        } else if (words[i] == "--only") {
            out.only = std::stoull(value());
        } else if (words[i] == "--slowest") {
            out.slowest = true;
        } else {
            out.files.push_back(words[i]);
        }
    }
    return out;
}

int write_seeds(const Door& door, const std::string& folder) {
    fs::create_directories(folder);
    for (const Seed& seed : door.seeds) {
        std::ofstream(fs::path(folder) / seed.name, std::ios::binary) << as_text(seed.bytes);
    }
    return 0;
}

int run(const std::string& name, const Options& options) {
    const Door door = fuzz::door();
    if (!options.write_seeds.empty()) return write_seeds(door, options.write_seeds);
    watch_for_death(name);
    Knocker knocker(door, options);
    std::vector<Bytes> inputs;
    for (const Seed& seed : door.seeds) inputs.push_back(seed.bytes);
    std::vector<fs::path> files = files_in(options.corpus);
    if (!options.corpus.empty() && files.empty()) {
        std::fprintf(stderr, "There is no input in %s.\n", options.corpus.c_str());
        return 2;
    }
    for (const fs::path& file : files_in(options.crashers)) files.push_back(file);
    for (const std::string& file : options.files) files.emplace_back(file);
    for (const fs::path& file : files) inputs.push_back(bytes_of(file));
    if (inputs.empty()) inputs.emplace_back();

    const std::size_t seeds = door.seeds.size();
    for (std::size_t i = 0; i < inputs.size() && options.only == 0; ++i) {
        knocker.knock(i < seeds ? "seed " + door.seeds[i].name : files.at(i - seeds).string(), inputs[i]);
    }
    const bool replay_only = !options.files.empty() && !options.runs;
    const std::size_t usual = door.runs * static_cast<std::size_t>(test::test_size());
    const std::size_t runs = replay_only ? 0 : options.runs.value_or(usual);
    const Mutator mutator(door, inputs);
    for (std::size_t i = 1; i <= std::max(runs, options.only); ++i) {
        if (options.only != 0 && i != options.only) continue;
        test::SeededRandom random(options.seed * 1'000'003 + i);  // each input stands alone
        knocker.knock("mutated input " + std::to_string(i) + " of seed " + std::to_string(options.seed),
                      mutator.next(random));
    }
    knocker.tell(name, inputs.size());
    return 0;
}

}  // namespace
}  // namespace ladderline::fuzz

int main(int count, char** words) {
    const std::string name = std::filesystem::path(words[0]).filename().string();
    return ladderline::fuzz::run(name, ladderline::fuzz::options_of({words + 1, words + count}));
}
