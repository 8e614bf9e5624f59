#pragma once
// Runs the real program as people do: words on a command line, in a folder of its own, to its end or in the background.
// Nothing here waits for a time: a process is waited for, or a line of its output is.

#include <sys/types.h>

#include <filesystem>
#include <string>
#include <vector>

#include "tests/support/scratch.hpp"

namespace ladderline::test {

// A fresh folder for files of a test.
class TemporaryFolder : public ScratchFolder {
public:
    TemporaryFolder() : ScratchFolder("test") {}
    // Writes a file there; gives its path.
    std::string file(const std::string& name, const std::string& text) const;
};

struct Outcome {
    int exit_code = -1;  // 128 and the signal's number if a signal ended it
    std::string out;
    std::string err;
};

// One person's store in a folder, and the program that works on it. Passphrases cost 8 MiB of memory.
class Person {
public:
    Person(const std::string& program, const TemporaryFolder& folder, const std::string& name);

    // Runs to its end. `from`: the folder in which the words are typed.
    Outcome run(std::vector<std::string> words, const std::filesystem::path& from = "/") const;
    // As run; an exception with the sentence unless it went well. Gives what was printed.
    std::string must(std::vector<std::string> words) const;

    // The same store, opened with the first line of another file.
    Person with_passphrase_file(const std::string& file) const;

    std::vector<std::string> command_line(std::vector<std::string> words) const;
    std::filesystem::path home() const { return home_; }
    std::string passphrase() const { return "seven made-up words that only tests use"; }

private:
    std::string program_;
    std::filesystem::path home_;
    std::string passphrase_file_;
};

// `ladderline run` in the background, on free ports of the loopback; a courier's has no pages. It is up when the object
// is made; its end is the object's. An exception if it ends before it is up.
class RunningProgram {
public:
    explicit RunningProgram(const Person& person, const std::vector<std::string>& options = {});
    ~RunningProgram();
    RunningProgram(const RunningProgram&) = delete;
    RunningProgram& operator=(const RunningProgram&) = delete;

    // Asks it to end and waits; the exit code as in Outcome. 0 if it had ended already.
    int stop();
    // Ends it without a word, as a power cut does.
    void kill_now();

    const std::string& pages_address() const { return pages_address_; }
    int port() const { return port_; }
    // -1 once it has ended.
    int pid() const { return pid_; }

private:
    std::string read_line();

    pid_t pid_ = -1;
    int out_ = -1;
    int port_ = 0;
    std::string pages_address_;
};

}  // namespace ladderline::test
