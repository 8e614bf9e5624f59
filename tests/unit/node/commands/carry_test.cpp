#include "node/commands/carry.hpp"

#include <doctest/doctest.h>

#include <boost/asio/io_context.hpp>

#include "node/app/drop_watch.hpp"
#include "protocol/sync/room.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/store/memory_carried_files.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

// Olive's club with Ada and Max, and a stick.
struct Club {
    Club() {
        begin_as(olive, "Olive Penn", MemberRole::officer, false, "Example Club");
        begin_as(max, "Max Dale", MemberRole::mentor);
        begin_as(ada, "Ada Finch", MemberRole::newcomer);
        join(olive, ada, "Ada Finch", CircleKind::club, MemberRole::newcomer);
        join(olive, max, "Max Dale", CircleKind::club, MemberRole::mentor);
        sync(olive, ada);
        for (MemberNode* node : {&olive, &max, &ada}) node->context.home = "/home/store";
    }
    node::WrittenBundle write(MemberNode& from, const std::string& who, const std::string& to = "/stick",
                              bool with_key = false) {
        node::BundleRequest request;
        request.who = who;
        request.to = to;
        request.with_key = with_key;
        return must(node::write_bundle(from.context, files, request));
    }

    SetClock clock;
    MemberNode olive{clock, 1};
    MemberNode max{clock, 2};
    MemberNode ada{clock, 3};
    MemoryCarriedFiles files;
};

}  // namespace

TEST_CASE("a bundle for a person holds every circle shared with them, one file each") {
    Club f;
    must(node::let_onto_path(f.ada.context, "Max", MemberRole::mentor, 3));
    CHECK(f.write(f.ada, "Max").files.size() == 2);
}

TEST_CASE("whoever reads a bundle is told that a crowded circle had no room for new logs") {
    Club f;
    const auto club = f.max.circle(CircleKind::club);
    MemberNode dee{f.clock, 4};
    begin_as(dee, "Dee Marsh", MemberRole::newcomer);
    join(f.olive, dee, "Dee Marsh", CircleKind::club, MemberRole::newcomer);
    dee.context.home = "/home/store";
    f.write(dee, "club");
    must(
        f.max.db().run("WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?2) "
                       "INSERT INTO log (circle, log, device, salt, founding, mine, next_seq, head) "
                       "SELECT ?1, randomblob(16), randomblob(32), randomblob(16), 0, 0, 1, randomblob(32) FROM n",
                       club, static_cast<std::int64_t>(protocol::logs_taken_max)));
    const node::ReadBundles read = must(node::read_bundles(f.max.context, f.files, {"/stick"}));
    REQUIRE(read.refused.size() == 1);
    CHECK(read.refused.front().find("this circle has room for no more new logs") != std::string::npos);
}

TEST_CASE("a member who was let onto a path without a connection gets its key in a bundle") {
    Club f;
    must(node::let_onto_path(f.ada.context, "Max", MemberRole::mentor, 3));
    f.write(f.ada, "Max", "/stick", true);
    const node::ReadBundles read = must(node::read_bundles(f.max.context, f.files, {"/stick"}));
    CHECK(read.refused.empty());
    CHECK(must(node::path_of(f.max.context, "Ada")).kind == CircleKind::path);
}

TEST_CASE("several files for one name are refused, and the first is taken back") {
    Club f;
    must(node::let_onto_path(f.ada.context, "Max", MemberRole::mentor, 3));
    node::BundleRequest request;
    request.who = "Max";
    request.to = "/elsewhere/one.carry";
    const Error error = must_fail(node::write_bundle(f.ada.context, f.files, request));
    CHECK(error.sentence().find("name a folder") != std::string::npos);
}

TEST_CASE("one text holds the bundles of several circles") {
    Club f;
    must(node::let_onto_path(f.ada.context, "Max", MemberRole::mentor, 3));
    node::BundleRequest request;
    request.who = "Max";
    request.to = "/elsewhere/letter.txt";
    request.text = true;
    const node::WrittenBundle written = must(node::write_bundle(f.ada.context, f.files, request));
    CHECK(written.files == std::vector<std::string>{"/elsewhere/letter.txt"});
    const node::ReadBundles read = must(node::read_bundles(f.max.context, f.files, {"/elsewhere/letter.txt"}));
    CHECK(read.parts == 1);           // the club's
    CHECK(read.refused.size() == 1);  // the path's, whose key Max has not
}

TEST_CASE("bundles given in the wrong order are all taken in at once") {
    Club f;
    std::vector<std::filesystem::path> paths;
    for (int i = 0; i < 3; ++i) {
        node::CardRequest card;
        card.room = static_cast<std::uint8_t>(i + 1);
        must(node::change_card(f.max.context, card));
        for (const std::string& file : f.write(f.max, "club").files) paths.insert(paths.begin(), file);
    }
    const node::ReadBundles read = must(node::read_bundles(f.ada.context, f.files, paths));
    CHECK(read.parts == 3);
    CHECK(read.missing.empty());
    CHECK(read.in_step);
}

TEST_CASE("a running node looks into its folders at the start, and again after the period") {
    Club f;
    must(node::add_drop_folder(f.ada.context, f.files, "/stick"));
    must(node::add_drop_folder(f.max.context, f.files, "/stick"));
    node::CardRequest card;
    card.room = 2;
    must(node::change_card(f.max.context, card));
    must(node::look_into_drop_folders(f.max.context, f.files));
    std::size_t told = 0;
    f.ada.context.news = [&](const protocol::CircleId&) { ++told; };
    boost::asio::io_context io;
    node::DropWatch watch(io.get_executor(), f.ada.context, f.files, 1);
    watch.start();
    while (watch.rounds() == 0) io.run_one();
    CHECK(told == 1);
    card.room = 3;
    must(node::change_card(f.max.context, card));
    must(node::look_into_drop_folders(f.max.context, f.files));
    const std::size_t before = watch.rounds();
    while (watch.rounds() < before + 2) io.run_one();
    CHECK(told == 2);
    watch.stop();
    io.run();
}

TEST_CASE("a look that fails is noted where the folders are listed") {
    Club f;
    must(node::add_drop_folder(f.ada.context, f.files, "/stick"));
    f.files.files.clear();
    must(node::look_into_drop_folders(f.ada.context, f.files));
    const auto listed = must(node::drop_folder_lines(f.ada.context, f.files));
    REQUIRE(listed.size() == 1);
    CHECK(listed[0].state.find("is the stick in?") != std::string::npos);
}
