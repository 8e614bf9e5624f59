#pragma once
// Files that are not part of the project: a test that wants one says so and passes over where they are missing.

#include <doctest/doctest.h>

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>

namespace ladderline::study_test {

// The text of $LADDERLINE_CHECK_DATA/<name>; nothing, with a message, if the variable is not set.
inline std::optional<std::string> check_data(const std::string& name) {
    const char* folder = std::getenv("LADDERLINE_CHECK_DATA");
    if (folder == nullptr || *folder == 0) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set: the check with " << name << " was left out");
        return std::nullopt;
    }
    std::ifstream file(std::string(folder) + "/" + name, std::ios::binary);
    REQUIRE_MESSAGE(file.good(), "cannot read " << name);
    return std::string(std::istreambuf_iterator<char>(file), {});
}

}  // namespace ladderline::study_test
