// What a page says to whoever hears it, and what stays as it was when a page moves by itself.

#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

// What the buttons of all forms of a page are called, as they are heard.
std::vector<std::string> button_names(const std::string& page) {
    std::vector<std::string> out;
    for (std::size_t at = page.find("<button"); at != std::string::npos; at = page.find("<button", at + 1)) {
        std::string name;
        const std::size_t end = page.find("</button>", at);
        for (std::size_t i = page.find('>', at) + 1; i < end; ++i) {
            if (page[i] == '<')
                i = page.find('>', i);
            else
                name += page[i];
        }
        out.push_back(name);
    }
    return out;
}

}  // namespace

TEST_CASE("No two buttons of a stage are called the same") {
    Cast cast;
    tick_item(cast.newcomer, "01.17");
    cast.clock.pass_minutes(1);
    auto names = button_names(cast.newcomers.body("/way?stage=1"));
    REQUIRE(names.size() > 20);
    std::sort(names.begin(), names.end());
    const auto twice = std::adjacent_find(names.begin(), names.end());
    CHECK((twice == names.end() ? "" : *twice) == "");
}

TEST_CASE("Every folded part has a name by which the page keeps it open") {
    Cast cast;
    for (const std::string address : {"/circles", "/ladder", "/meet", "/way", "/contact"}) {
        CAPTURE(address);
        const std::string page = cast.newcomers.body(address);
        CHECK(page.find("<details>") == std::string::npos);
    }
}
