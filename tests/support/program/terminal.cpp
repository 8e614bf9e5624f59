#include "tests/support/program/terminal.hpp"

#include <pty.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <stdexcept>
#include <utility>

namespace ladderline::test {

Terminal::Terminal(const Person& person, std::vector<std::string> words) {
    const std::vector<std::string> line = person.command_line(std::move(words));
    std::vector<char*> arguments;
    for (const std::string& word : line) arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    pid_ = forkpty(&screen_, nullptr, nullptr, nullptr);
    if (pid_ < 0) throw std::runtime_error("no terminal could be made");
    if (pid_ != 0) return;
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    termios plain{};
    tcgetattr(STDIN_FILENO, &plain);
    plain.c_lflag &= ~static_cast<tcflag_t>(ECHO);
    plain.c_oflag &= ~static_cast<tcflag_t>(OPOST);
    tcsetattr(STDIN_FILENO, TCSANOW, &plain);
    setenv("LADDERLINE_PASSPHRASE_MEMORY_MIB", "8", 1);
    unsetenv("LADDERLINE_PASSPHRASE_FILE");
    unsetenv("LADDERLINE_HOME");
    execv(arguments.front(), arguments.data());
    _exit(127);
}

Terminal::~Terminal() {
    if (pid_ > 0) {
        kill(pid_, SIGKILL);
        waitpid(pid_, nullptr, 0);
    }
    close(screen_);
}

bool Terminal::read_more() {
    std::array<char, 4096> piece{};
    ssize_t got = 0;
    do {
        got = read(screen_, piece.data(), piece.size());
    } while (got < 0 && errno == EINTR);
    if (got <= 0) return false;  // the other end is closed: EIO
    seen_.append(piece.data(), static_cast<std::size_t>(got));
    return true;
}

std::string Terminal::read_to(const std::string& part) {
    for (;;) {
        const std::size_t at = seen_.find(part);
        if (at != std::string::npos) {
            const std::string out = seen_.substr(0, at + part.size());
            seen_.erase(0, out.size());
            return out;
        }
        if (!read_more()) throw std::runtime_error("'" + part + "' was not shown, but: " + seen_);
    }
}

void Terminal::type(const std::string& line) {
    const std::string bytes = line + "\n";
    if (write(screen_, bytes.data(), bytes.size()) != static_cast<ssize_t>(bytes.size())) {
        throw std::runtime_error("nothing can be typed");
    }
}

int Terminal::end() {
    while (read_more()) {
    }
    int status = 0;
    while (waitpid(pid_, &status, 0) < 0 && errno == EINTR) {
    }
    pid_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

}  // namespace ladderline::test
