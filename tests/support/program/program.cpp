#include "tests/support/program/program.hpp"

#include <fcntl.h>
#include <linux/close_range.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <stdexcept>
#include <utility>

namespace ladderline::test {

namespace fs = std::filesystem;

namespace {

int made(int result, const char* what) {
    if (result < 0) throw std::runtime_error(std::string(what) + " failed");
    return result;
}

// Starts the words with these as output; reads nothing from the keyboard, and does not outlive the test.
pid_t start(const std::vector<std::string>& words, const fs::path& from, int out, int err) {
    std::vector<char*> arguments;
    for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    const pid_t pid = made(fork(), "fork");
    if (pid != 0) return pid;
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    close_range(STDERR_FILENO + 1, ~0U, CLOSE_RANGE_CLOEXEC);  // a test's own sockets are not the program's
    const int nothing = open("/dev/null", O_RDONLY | O_CLOEXEC);
    const bool ready = dup2(nothing, STDIN_FILENO) >= 0 && dup2(out, STDOUT_FILENO) >= 0 &&
                       dup2(err, STDERR_FILENO) >= 0 && chdir(from.c_str()) == 0;
    setenv("LADDERLINE_PASSPHRASE_MEMORY_MIB", "8", 1);
    unsetenv("LADDERLINE_PASSPHRASE_FILE");
    unsetenv("LADDERLINE_HOME");
    if (ready) execv(arguments.front(), arguments.data());
    _exit(127);
}

int wait_for(pid_t pid) {
    int status = 0;
    while (waitpid(pid, &status, 0) < 0 && errno == EINTR) {
    }
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

// What was written to a file in memory, from its beginning; closes it.
std::string all_of(int file) {
    std::string text;
    std::array<char, 4096> piece{};
    lseek(file, 0, SEEK_SET);
    for (ssize_t got = 0; (got = read(file, piece.data(), piece.size())) > 0;) {
        text.append(piece.data(), static_cast<std::size_t>(got));
    }
    close(file);
    return text;
}

}  // namespace

std::string TemporaryFolder::file(const std::string& name, const std::string& text) const {
    const fs::path target = path() / name;
    std::ofstream(target, std::ios::binary) << text;
    return target.string();
}

Person::Person(const std::string& program, const TemporaryFolder& folder, const std::string& name)
    : program_(program),
      home_(folder.path() / name),
      passphrase_file_(folder.file(name + ".passphrase", passphrase() + "\n")) {}

Person Person::with_passphrase_file(const std::string& file) const {
    Person other = *this;
    other.passphrase_file_ = file;
    return other;
}

std::vector<std::string> Person::command_line(std::vector<std::string> words) const {
    const std::vector<std::string> first{program_, "--home", home_.string(), "--passphrase-file", passphrase_file_};
    words.insert(words.begin(), first.begin(), first.end());
    return words;
}

Outcome Person::run(std::vector<std::string> words, const fs::path& from) const {
    const int out = made(memfd_create("out", MFD_CLOEXEC), "memfd_create");
    const int err = made(memfd_create("err", MFD_CLOEXEC), "memfd_create");
    Outcome outcome;
    outcome.exit_code = wait_for(start(command_line(std::move(words)), from, out, err));
    outcome.out = all_of(out);
    outcome.err = all_of(err);
    return outcome;
}

std::string Person::must(std::vector<std::string> words) const {
    const Outcome outcome = run(std::move(words));
    if (outcome.exit_code != 0) throw std::runtime_error(outcome.err);
    return outcome.out;
}

RunningProgram::RunningProgram(const Person& person, const std::vector<std::string>& options) {
    std::vector<std::string> words{"run", "--listen", "127.0.0.1:0"};
    words.insert(words.end(), options.begin(), options.end());
    std::array<int, 2> ends{};
    made(pipe2(ends.data(), O_CLOEXEC), "pipe2");
    pid_ = start(person.command_line(words), "/", ends[1], STDERR_FILENO);
    close(ends[1]);
    out_ = ends[0];
    constexpr std::string_view port_words = "Other nodes reach this one on port ";
    constexpr std::string_view pages_words = "Your pages are at ";
    constexpr std::string_view courier_words = "The courier is reached on port ";
    while (pages_address_.empty()) {
        const std::string line = read_line();
        if (line.empty()) {
            stop();
            throw std::runtime_error("the node ended before it was up");
        }
        if (line.starts_with(port_words)) port_ = std::stoi(line.substr(port_words.size()));
        if (line.starts_with(courier_words)) {
            port_ = std::stoi(line.substr(courier_words.size()));
            return;  // has no pages
        }
        if (line.starts_with(pages_words)) pages_address_ = line.substr(pages_words.size());
    }
}

RunningProgram::~RunningProgram() {
    stop();
    close(out_);
}

// Without its end; empty at the end of the output.
std::string RunningProgram::read_line() {
    std::string line;
    char c = 0;
    while (read(out_, &c, 1) == 1 && c != '\n') line += c;
    return line;
}

int RunningProgram::stop() {
    if (pid_ < 0) return 0;
    kill(pid_, SIGTERM);
    return wait_for(std::exchange(pid_, -1));
}

void RunningProgram::kill_now() {
    if (pid_ < 0) return;
    kill(pid_, SIGKILL);
    wait_for(std::exchange(pid_, -1));
}

}  // namespace ladderline::test
