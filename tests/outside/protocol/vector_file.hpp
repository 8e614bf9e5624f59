#pragma once
// Vector files that are too large, or not ours, to be kept here: read from $LADDERLINE_CHECK_DATA/vectors when set.

#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

namespace ladderline::test {

// Nothing if LADDERLINE_CHECK_DATA is not set. A file that is missing or not JSON there throws, which fails the test.
inline std::optional<nlohmann::json> vector_file(const std::string& name) {
    const char* folder = std::getenv("LADDERLINE_CHECK_DATA");
    if (folder == nullptr || *folder == 0) return std::nullopt;
    std::ifstream file(std::string(folder) + "/vectors/" + name);
    return nlohmann::json::parse(file);
}

}  // namespace ladderline::test
