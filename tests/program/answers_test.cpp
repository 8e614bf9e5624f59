// What is promised to other programs of the answers with --json.

#include <fstream>
#include <set>

#include "tests/program/refusals.hpp"
#include "tests/support/program/json_shape.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

json schema() {
    std::ifstream in(std::filesystem::path(LADDERLINE_MANUALS) / "answers.schema.json");
    return json::parse(in);
}

struct Asked {
    std::vector<std::string> words;
    std::string shape;
};

}  // namespace

TEST_CASE("the answers of commands are as their schema says, and no shape of it is without a command") {
    const AdasFolder f;
    f.ada.must({"ask", "which antenna for a flat"});
    f.ada.must({"tick", "3.8", "--on", "2026-01-10"});
    const JsonShape shape(schema());
    const Asked all[] = {
        {{"next"}, "next"},
        {{"waiting"}, "waiting"},
        {{"today"}, "today"},
        {{"way"}, "way"},
        {{"sees"}, "sees"},
        {{"invite", "path", "--as", "mentor", "--address", "127.0.0.1:7300", "--qr"}, "invite"},
        {{"tick", "0.1"}, "step"},
        {{"tick", "99.99"}, "refusal"},
        {{"frobnicate"}, "refusal"},
        {{"--version"}, "version"},
    };
    std::set<std::string> seen{"day", "minute", "item", "day_or_null"};  // parts of others
    for (Asked asked : all) {
        CAPTURE(asked.words.front());
        asked.words.insert(asked.words.begin(), "--json");
        const std::string out = f.ada.run(asked.words).out;
        REQUIRE(json::accept(out));
        CHECK(shape.trouble(json::parse(out), asked.shape) == "");
        seen.insert(asked.shape);
    }
    const json definitions = schema().at("$defs");
    for (const auto& [name, unused] : definitions.items()) {
        CAPTURE(name);
        CHECK(seen.contains(name));
    }
}

TEST_CASE("an answer that is not as the schema says is noticed") {
    const JsonShape shape(schema());
    CHECK(shape.trouble(json::parse(R"({"said": 3})"), "step") != "");
    CHECK(shape.trouble(json::parse(R"({})"), "step") != "");
    CHECK(shape.trouble(json::parse(R"([{"what": "x", "day": "tomorrow"}])"), "waiting") != "");
    CHECK(shape.trouble(json::parse(R"({"error": "No.", "exit_code": 99})"), "refusal") != "");
    CHECK(shape.trouble(json::parse(R"({"next": {"item": "00.01"}})"), "next") != "");
    CHECK_THROWS(shape.trouble(json(), "no such shape"));
}
