// The unencrypted store in which the search of marker_scan.sh must find what it finds nowhere else.

#include <doctest/doctest.h>

#include "embedded/migrations.hpp"
#include "tests/crash/life/life.hpp"
#include "tests/support/scratch.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("a plain store with the same tables and notes is written as the control of the search for markers") {
    const ScratchFolder folder("control");
    const std::filesystem::path file = folder.path() / "store.db";
    auto db = store::sqlite::Database::open_plain(file.string());
    REQUIRE(db.has_value());
    for (const auto& step : embedded::migrations::all) REQUIRE(db.value().execute(step.text).has_value());
    REQUIRE(db.value().execute("CREATE TABLE note (text TEXT NOT NULL) STRICT").has_value());
    for (int i = 0; i < 100; ++i) {
        const std::string text = "MARKER-kept note " + std::to_string(i);
        REQUIRE(db.value().run("INSERT INTO note VALUES (?1)", text).has_value());
    }
    CHECK(std::filesystem::file_size(file) > 4096);
}
