#include <doctest/doctest.h>

#include <cstdlib>

#include "node/app/home.hpp"

using namespace ladderline::node;

namespace {

// The environment of the process, as it was, when the test is over.
class Variables {
public:
    Variables() {
        for (const char* name : names) {
            const char* value = std::getenv(name);
            before_.push_back(value != nullptr ? std::optional<std::string>(value) : std::nullopt);
            unsetenv(name);
        }
    }
    ~Variables() {
        for (std::size_t i = 0; i < before_.size(); ++i) {
            if (before_[i]) setenv(names[i], before_[i]->c_str(), 1);
            if (!before_[i]) unsetenv(names[i]);
        }
    }
    Variables(const Variables&) = delete;
    Variables& operator=(const Variables&) = delete;

private:
    static constexpr const char* names[] = {"LADDERLINE_HOME", "XDG_DATA_HOME", "HOME"};
    std::vector<std::optional<std::string>> before_;
};

std::string folder() {
    const auto found = home_folder({});
    return found ? found.value().string() : "";
}

}  // namespace

TEST_CASE("the store's folder is the one that is named, then the variable's, then the data folder's, then the home's") {
    const Variables kept;
    CHECK(folder().empty());
    setenv("HOME", "/home/ada", 1);
    CHECK(folder() == "/home/ada/.local/share/ladderline");
    setenv("XDG_DATA_HOME", "/data", 1);
    CHECK(folder() == "/data/ladderline");
    setenv("LADDERLINE_HOME", "/mine", 1);
    CHECK(folder() == "/mine");
    CHECK(home_folder("/here").value() == "/here");
}

TEST_CASE("a data folder that is not absolute or empty counts as none") {
    const Variables kept;
    setenv("HOME", "/home/ada", 1);
    setenv("XDG_DATA_HOME", "data", 1);
    CHECK(folder() == "/home/ada/.local/share/ladderline");
    setenv("XDG_DATA_HOME", "", 1);
    CHECK(folder() == "/home/ada/.local/share/ladderline");
}
